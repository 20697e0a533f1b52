//! The lines of a material.

use serde_json::Value;
use serde_json::json;

use crate::cli::profile::detail::Line;
use crate::cli::profile::detail::line;
use crate::cli::profile::detail::list_line;
use crate::cli::profile::detail::plain_line;
use crate::cli::profile::detail::source_json;
use crate::job::material::Material;
use crate::job::material::Sourced;
use crate::job::material::Span;
use crate::job::material::Speeds;
use crate::job::material::Taylor;
use crate::profile::unit::Unit;

/// Lines of a material.
pub fn material(material: &Material) -> Vec<Line> {
    let mut lines = vec![plain_line("title", "title", &material.title)];
    lines.extend(list_line("aliases", "also", &material.aliases));
    lines.push(plain_line("class", "class", material.class.word()));
    lines.push(plain_line("condition", "condition", &material.condition));
    if let Some(caution) = &material.caution {
        lines.push(plain_line("caution", "cautions call it", caution));
    }
    lines.extend(material.hardness.as_ref().map(|hardness| {
        sourced("hardness", "hardness", hardness, Clone::clone, |text| {
            json!(text)
        })
    }));
    lines.push(sourced_number(
        "density_kg_m3",
        "density",
        Some(Unit::Density),
        &material.density_kg_m3,
    ));
    lines.extend(material.expansion_um_m_k.as_ref().map(|expansion| {
        sourced_number(
            "expansion_um_m_k",
            "thermal expansion",
            Some(Unit::Expansion),
            expansion,
        )
    }));
    lines.push(sourced_number(
        "kc1_1_n_mm2",
        "kc1.1",
        Some(Unit::SpecificForce),
        &material.kc1_1_n_mm2,
    ));
    lines.push(sourced_number("mc", "mc", None, &material.mc));
    lines.extend(
        material
            .energy_j_mm3
            .as_ref()
            .map(|energy| sourced_span("energy_j_mm3", "specific energy", Unit::Energy, energy)),
    );
    lines.extend(
        material
            .drill_kd
            .as_ref()
            .map(|kd| sourced_number("drill_kd", "drilling factor Kd", None, kd)),
    );
    lines.extend(speeds(
        "hss",
        "surface speed, high-speed steel",
        material.hss.as_ref(),
    ));
    lines.extend(speeds(
        "carbide",
        "surface speed, carbide",
        material.carbide.as_ref(),
    ));
    lines.extend(
        material
            .tap_m_min
            .as_ref()
            .map(|tap| sourced_span("tap_m_min", "surface speed, tap", Unit::SurfaceSpeed, tap)),
    );
    let load = &material.chip_load;
    lines.extend([
        sourced_span(
            "fz_slot_share",
            "chip load in a slot, of diameter",
            Unit::Share,
            &load.slot_share,
        ),
        sourced_span(
            "fz_side_share",
            "chip load at a side, of diameter",
            Unit::Share,
            &load.side_share,
        ),
        sourced_span(
            "drill_feed_share",
            "drill feed a turn, of diameter",
            Unit::Share,
            &load.drill_share,
        ),
        sourced_number(
            "least_chip_ratio",
            "least chip over edge radius",
            None,
            &material.least_chip_ratio,
        ),
        sourced(
            "sticks",
            "sticks to the edge",
            &material.sticks,
            |sticks| sticks.word().to_owned(),
            |sticks| json!(sticks.word()),
        ),
        plain_line("chips", "chips", material.chips.word()),
    ]);
    lines.extend(taylor(
        "taylor_hss",
        "tool life, high-speed steel",
        material.taylor_hss.as_ref(),
    ));
    lines.extend(taylor(
        "taylor_carbide",
        "tool life, carbide",
        material.taylor_carbide.as_ref(),
    ));
    lines.push(plain_line("fluid", "fluid", &material.fluid));
    lines.extend(list_line("notes", "notes", &material.notes));
    lines
}

fn sourced<T>(
    key: &str,
    label: &str,
    value: &Sourced<T>,
    show: impl Fn(&T) -> String,
    as_json: impl Fn(&T) -> Value,
) -> Line {
    let mut text = format!("{}  [{}]", show(&value.value), value.source);
    for other in &value.others {
        text.push_str(&format!("; also {} [{}]", show(&other.value), other.source));
    }
    let others: Vec<Value> = value
        .others
        .iter()
        .map(
            |other| json!({ "value": as_json(&other.value), "source": source_json(&other.source) }),
        )
        .collect();
    line(
        key,
        label,
        text,
        json!({
            "value": as_json(&value.value),
            "source": source_json(&value.source),
            "others": others,
        }),
    )
}

fn sourced_number(key: &str, label: &str, unit: Option<Unit>, value: &Sourced<f64>) -> Line {
    sourced(
        key,
        label,
        value,
        |number| unit.map_or_else(|| number.to_string(), |unit| unit.show(*number)),
        |number| json!(number),
    )
}

fn span_text(unit: Unit, span: Span) -> String {
    let most = unit.show(span.most);
    if span.least == span.most {
        return most;
    }
    let least = unit.show(span.least);
    let bare = least.trim_end_matches(unit.symbol()).trim_end();
    format!("{bare} to {most}")
}

fn sourced_span(key: &str, label: &str, unit: Unit, value: &Sourced<Span>) -> Line {
    sourced(
        key,
        label,
        value,
        |span| span_text(unit, *span),
        |span| json!([span.least, span.most]),
    )
}

fn speeds(key: &str, label: &str, speeds: Option<&Speeds>) -> Vec<Line> {
    let Some(speeds) = speeds else {
        return vec![];
    };
    let mut lines = vec![sourced_span(
        &format!("{key}_m_min"),
        label,
        Unit::SurfaceSpeed,
        &speeds.rough_m_min,
    )];
    lines.extend(speeds.finish_m_min.as_ref().map(|finish| {
        sourced_span(
            &format!("{key}_finish_m_min"),
            &format!("{label}, finishing"),
            Unit::SurfaceSpeed,
            finish,
        )
    }));
    lines
}

fn taylor(key: &str, label: &str, taylor: Option<&Taylor>) -> Vec<Line> {
    let Some(taylor) = taylor else {
        return vec![];
    };
    vec![
        sourced_number(&format!("{key}_n"), &format!("{label}, n"), None, &taylor.n),
        sourced_number(
            &format!("{key}_c_m_min"),
            &format!("{label}, C"),
            Some(Unit::SurfaceSpeed),
            &taylor.c_m_min,
        ),
    ]
}
