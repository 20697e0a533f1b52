//! The copy of the material in a record: every number with its source.

use crate::job::material::ChipLoad;
use crate::job::material::Chips;
use crate::job::material::Class;
use crate::job::material::Material;
use crate::job::material::Other;
use crate::job::material::Sourced;
use crate::job::material::Span;
use crate::job::material::Speeds;
use crate::job::material::Sticks;
use crate::job::material::Taylor;
use crate::record::fault::Wrong;
use crate::record::fields::Fields;
use crate::record::fields::Took;
use crate::record::fields::of;
use crate::record::shape::List;
use crate::record::shape::Name;
use crate::record::shape::Prose;
use crate::record::shape::Shape;
use crate::record::shape::Text;
use crate::record::shape::TextIf;
use crate::record::shape::Word;
use crate::record::shape::amount;
use crate::record::shape::amount::Amount;
use crate::record::shape::words;
use crate::source::Source;
use crate::source::Standing;

pub(in crate::record) fn material<F: Fields>(f: &mut F, v: Option<&Material>) -> Took<Material> {
    Ok(Material {
        name: f.value("name", of!(v.name), &Name)?,
        title: f.value("title", of!(v.title), &Text)?,
        aliases: f.value("aliases", of!(v.aliases), &List(Text))?,
        class: f.value("class", of!(v.class), &words!(Class))?,
        caution: f.value("caution", of!(v.caution), &TextIf)?,
        condition: f.value("condition", of!(v.condition), &Text)?,
        hardness: f.row_if("hardness", of!(v.hardness), |f, v| bare(f, v, &Text))?,
        density_kg_m3: sourced(f, "density", of!(v.density_kg_m3), &amount::KG_M3)?,
        expansion_um_m_k: f.row_if("expansion", of!(v.expansion_um_m_k), |f, v| {
            bare(f, v, &amount::UM_M_K)
        })?,
        kc1_1_n_mm2: sourced(f, "kc1_1", of!(v.kc1_1_n_mm2), &amount::N_MM2)?,
        mc: sourced(f, "mc", of!(v.mc), &amount::BARE)?,
        energy_j_mm3: f.row_if("energy", of!(v.energy_j_mm3), |f, v| {
            spanned(f, v, &amount::J_MM3)
        })?,
        drill_kd: f.row_if("drill_kd", of!(v.drill_kd), |f, v| {
            bare(f, v, &amount::BARE)
        })?,
        tap_m_min: f.row_if("tap", of!(v.tap_m_min), |f, v| {
            spanned(f, v, &amount::M_MIN)
        })?,
        least_chip_ratio: sourced(f, "least_chip", of!(v.least_chip_ratio), &amount::BARE)?,
        sticks: sourced(f, "sticks", of!(v.sticks), &words!(Sticks))?,
        chips: f.value("chips", of!(v.chips), &words!(Chips))?,
        fluid: f.value("fluid", of!(v.fluid), &Text)?,
        notes: f.value("notes", of!(v.notes), &List(Prose))?,
        hss: f.table_if("hss", of!(v.hss), speeds)?,
        carbide: f.table_if("carbide", of!(v.carbide), speeds)?,
        chip_load: f.table("chip_load", of!(v.chip_load), chip_load)?,
        taylor_hss: f.table_if("taylor_hss", of!(v.taylor_hss), taylor)?,
        taylor_carbide: f.table_if("taylor_carbide", of!(v.taylor_carbide), taylor)?,
    })
}

fn speeds<F: Fields>(f: &mut F, v: Option<&Speeds>) -> Took<Speeds> {
    Ok(Speeds {
        rough_m_min: f.row("rough", of!(v.rough_m_min), |f, v| {
            spanned(f, v, &amount::M_MIN)
        })?,
        finish_m_min: f.row_if("finish", of!(v.finish_m_min), |f, v| {
            spanned(f, v, &amount::M_MIN)
        })?,
    })
}

fn chip_load<F: Fields>(f: &mut F, v: Option<&ChipLoad>) -> Took<ChipLoad> {
    Ok(ChipLoad {
        slot_share: f.row("slot", of!(v.slot_share), |f, v| {
            spanned(f, v, &amount::BARE)
        })?,
        side_share: f.row("side", of!(v.side_share), |f, v| {
            spanned(f, v, &amount::BARE)
        })?,
        drill_share: f.row("drill", of!(v.drill_share), |f, v| {
            spanned(f, v, &amount::BARE)
        })?,
    })
}

fn taylor<F: Fields>(f: &mut F, v: Option<&Taylor>) -> Took<Taylor> {
    Ok(Taylor {
        n: sourced(f, "n", of!(v.n), &amount::BARE)?,
        c_m_min: sourced(f, "c", of!(v.c_m_min), &amount::M_MIN)?,
    })
}

/// A value with its source, on one line.
fn sourced<F: Fields, T: Clone>(
    f: &mut F,
    key: &'static str,
    v: Option<&Sourced<T>>,
    shape: &impl Shape<T>,
) -> Took<Sourced<T>> {
    f.row(key, v, |f, v| bare(f, v, shape))
}

fn bare<F: Fields, T: Clone>(
    f: &mut F,
    v: Option<&Sourced<T>>,
    shape: &impl Shape<T>,
) -> Took<Sourced<T>> {
    Ok(Sourced {
        value: f.value("value", of!(v.value), shape)?,
        source: source(f, of!(v.source))?,
        others: f.rows("others", v.map(|v| v.others.as_slice()), |f, v| {
            Ok(Other {
                value: f.value("value", of!(v.value), shape)?,
                source: source(f, of!(v.source))?,
            })
        })?,
    })
}

fn spanned<F: Fields>(f: &mut F, v: Option<&Sourced<Span>>, unit: &Amount) -> Took<Sourced<Span>> {
    Ok(Sourced {
        value: span(f, of!(v.value), unit)?,
        source: source(f, of!(v.source))?,
        others: f.rows("others", v.map(|v| v.others.as_slice()), |f, v| {
            Ok(Other {
                value: span(f, of!(v.value), unit)?,
                source: source(f, of!(v.source))?,
            })
        })?,
    })
}

fn span<F: Fields>(f: &mut F, v: Option<&Span>, unit: &Amount) -> Took<Span> {
    let span = Span {
        least: f.value("least", of!(v.least), unit)?,
        most: f.value("most", of!(v.most), unit)?,
    };
    if span.least > span.most {
        let wrong = Wrong::new("is more than most", "Write the lesser value under least.");
        return Err(f.fault("least", wrong));
    }
    Ok(span)
}

fn source<F: Fields>(f: &mut F, v: Option<&Source>) -> Took<Source> {
    const STANDING: Word<Standing> = Word {
        word: |standing| standing.word().to_owned(),
        from: |word| ALL.into_iter().find(|standing| standing.word() == word),
        all: || ALL.iter().map(|s| s.word().to_owned()).collect(),
    };
    const ALL: [Standing; 4] = [
        Standing::Read,
        Standing::FromMemory,
        Standing::CommonPractice,
        Standing::Own,
    ];
    Ok(Source {
        standing: f.value("standing", of!(v.standing), &STANDING)?,
        citation: f.value("source", of!(v.citation), &Prose)?,
    })
}
