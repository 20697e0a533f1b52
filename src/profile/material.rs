//! A material out of its table.

use std::ops::RangeInclusive;

use crate::job::conditions;
use crate::job::conditions::Takes;
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
use crate::profile::read::Section;
use crate::profile::sources::Sources;
use crate::profile::sources::named;
use crate::profile::unit::Unit;

const SOURCED: &str = "Write { value = ..., source = \"NAME\" } with a [source.NAME] in this file.";

/// Reader of one material: its table and the sources of its file.
struct Reader<'a, 's, 't> {
    s: &'a Section<'s, 't>,
    sources: &'a Sources,
}

impl<'s, 't> Reader<'_, 's, 't> {
    fn inside<T: Clone>(
        &self,
        inner: &Section<'s, 't>,
        read: &impl Fn(&Section<'s, 't>) -> Option<T>,
    ) -> Option<Sourced<T>> {
        let value = read(inner);
        let source = named(inner, self.sources);
        let others: Option<Vec<Other<T>>> = inner
            .sections("others", "Write a list of { value = ..., source = ... }.")
            .and_then(|others| {
                let read: Vec<Option<Other<T>>> = others
                    .iter()
                    .map(|other| {
                        let value = read(other);
                        let source = named(other, self.sources);
                        other.finish();
                        Some(Other {
                            value: value?,
                            source: source?,
                        })
                    })
                    .collect();
                read.into_iter().collect()
            });
        inner.finish();
        Some(Sourced {
            value: value?,
            source: source?,
            others: others?,
        })
    }

    fn sourced<T: Clone>(
        &self,
        key: &'static str,
        read: impl Fn(&Section<'s, 't>) -> Option<T>,
    ) -> Option<Sourced<T>> {
        self.inside(&self.s.section(key, SOURCED)?, &read)
    }

    fn sourced_if<T: Clone>(
        &self,
        key: &'static str,
        read: impl Fn(&Section<'s, 't>) -> Option<T>,
    ) -> Option<Sourced<T>> {
        self.inside(&self.s.section_if(key, SOURCED)?, &read)
    }

    fn quantity(
        &self,
        key: &'static str,
        unit: Unit,
        range: RangeInclusive<f64>,
    ) -> Option<Sourced<f64>> {
        self.sourced(key, |s| s.quantity("value", unit, range.clone()))
    }

    fn number(&self, key: &'static str, range: RangeInclusive<f64>) -> Option<Sourced<f64>> {
        self.sourced(key, |s| s.number("value", range.clone()))
    }

    fn span_if(
        &self,
        key: &'static str,
        unit: Unit,
        range: RangeInclusive<f64>,
    ) -> Option<Sourced<Span>> {
        self.sourced_if(key, |s| s.span("value", unit, range.clone()))
    }

    fn share(&self, key: &'static str) -> Option<Sourced<Span>> {
        self.sourced(key, |s| s.span("value", Unit::Share, 0.0001..=0.2))
    }

    fn speeds(&self, rough: &'static str, finish: &'static str) -> Option<Speeds> {
        let range = 0.5..=3000.0;
        let rough_m_min = self.span_if(rough, Unit::SurfaceSpeed, range.clone());
        let finish_m_min = self.span_if(finish, Unit::SurfaceSpeed, range);
        if rough_m_min.is_none() && finish_m_min.is_some() {
            self.s.fault(
                finish,
                format!("stands without {rough}"),
                format!("Write {rough} too."),
            );
        }
        Some(Speeds {
            rough_m_min: rough_m_min?,
            finish_m_min,
        })
    }

    fn taylor(&self, key: &'static str) -> Option<Taylor> {
        let inner = self
            .s
            .section_if(key, "Write a table with n and c, each with its source.")?;
        let reader = Reader {
            s: &inner,
            sources: self.sources,
        };
        let n = reader.number("n", 0.01..=1.0);
        let c_m_min = reader.quantity("c", Unit::SurfaceSpeed, 1.0..=5000.0);
        inner.finish();
        Some(Taylor {
            n: n?,
            c_m_min: c_m_min?,
        })
    }
}

/// The words by which cautions know materials.
fn caution_words() -> &'static [&'static str] {
    match conditions::key("material").map(|key| key.takes) {
        Some(Takes::Given(words) | Takes::OneOf(words)) => words,
        _ => &[],
    }
}

/// Reads a table `[[material]]`; `None` after a fault was reported.
pub fn read(s: &Section<'_, '_>, sources: &Sources) -> Option<Material> {
    let r = Reader { s, sources };
    let name = s.name("name");
    let title = s.text("title");
    let aliases = s.texts("aliases");
    let class = s.word("class", &Class::ALL.map(Class::word), Class::from_word);
    let caution = s.word_if("caution", caution_words(), |word| {
        caution_words().contains(&word).then(|| word.to_owned())
    });
    let condition = s.text_if("condition").unwrap_or_default();
    let hardness = r.sourced_if("hardness", |s| s.text("value"));
    let density_kg_m3 = r.quantity("density", Unit::Density, 100.0..=25_000.0);
    let expansion_um_m_k = r.sourced_if("expansion", |s| {
        s.quantity("value", Unit::Expansion, 0.1..=500.0)
    });
    let kc1_1_n_mm2 = r.quantity("kc1_1", Unit::SpecificForce, 10.0..=10_000.0);
    let mc = r.number("mc", 0.0..=0.6);
    let energy_j_mm3 = r.span_if("energy", Unit::Energy, 0.01..=20.0);
    let drill_kd = r.sourced_if("drill_kd", |s| s.number("value", 500.0..=100_000.0));
    let hss = r.speeds("hss", "hss_finish");
    let carbide = r.speeds("carbide", "carbide_finish");
    let tap_m_min = r.span_if("tap", Unit::SurfaceSpeed, 0.5..=300.0);
    let shares = (
        r.share("fz_slot"),
        r.share("fz_side"),
        r.share("drill_feed"),
    );
    let least_chip_ratio = r.number("least_chip", 0.05..=1.5);
    let sticks = r.sourced("sticks", |s| {
        s.word("value", &Sticks::ALL.map(Sticks::word), Sticks::from_word)
    });
    let chips = s.word("chips", &Chips::ALL.map(Chips::word), Chips::from_word);
    let taylor_hss = r.taylor("taylor_hss");
    let taylor_carbide = r.taylor("taylor_carbide");
    let fluid = s.text("fluid");
    let notes = s.texts("notes");
    s.finish();
    Some(Material {
        name: name?,
        title: title?,
        aliases: aliases?,
        class: class?,
        caution,
        condition,
        hardness,
        density_kg_m3: density_kg_m3?,
        expansion_um_m_k,
        kc1_1_n_mm2: kc1_1_n_mm2?,
        mc: mc?,
        energy_j_mm3,
        drill_kd,
        hss,
        carbide,
        tap_m_min,
        chip_load: ChipLoad {
            slot_share: shares.0?,
            side_share: shares.1?,
            drill_share: shares.2?,
        },
        least_chip_ratio: least_chip_ratio?,
        sticks: sticks?,
        chips: chips?,
        taylor_hss,
        taylor_carbide,
        fluid: fluid?,
        notes: notes?,
    })
}
