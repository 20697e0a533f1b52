//! What may stand on the emergency cards: every shipped material with every coolant, stated or not, and every stoppage.
//!
//! What feeds burning metal: T.O. 1-1A-9, warning and para g(1); titanium safety data sheet, 1986; zirconium and aluminium from memory
//! (NFPA 484). What suits burning oil and alcohol: 29 CFR 1910.157(d), class B, from memory. The order of the injury card: first-aid
//! practice, from memory. A first-aider and the local fire service come first.

mod support;

use std::collections::BTreeSet;

use millside::app::cards;
use millside::job::card;
use millside::job::card::Agent;
use millside::job::card::BURNING_METALS;
use millside::job::card::CardLine;
use millside::job::card::NOT_STATED;
use millside::job::card::On;
use millside::job::card::StopsBy;
use millside::job::caution;
use millside::job::caution::Phase;
use millside::job::conditions;
use millside::job::conditions::Conditions;
use millside::job::conditions::Takes;
use millside::job::conditions::Value;
use millside::job::mishap::ADVICE;
use millside::job::mishap::Mishap;
use millside::profile::card::FILES;
use millside::profile::card::from_text;
use millside::profile::card::lines;

use support::card::FLUIDS;
use support::session::shipped;
use support::walk::cutting;

/// One row of the table: what was stated, and the words that the cards know the material and coolant by.
struct Case {
    what: String,
    material: String,
    fluid: &'static str,
    stated: Conditions,
}

/// Every shipped material, every word that a material may have, and none, each with every coolant and none.
fn cases() -> Vec<Case> {
    let mut materials: Vec<(String, Conditions)> =
        vec![("not stated".to_owned(), Conditions::new())];
    for material in shipped().materials {
        let mut stated = Conditions::new();
        material.state(&mut stated);
        materials.push((material.name, stated));
    }
    let Some(Takes::Given(words)) = conditions::key("material").map(|key| key.takes) else {
        panic!("the program states the material");
    };
    for word in words {
        let mut stated = Conditions::new();
        stated.word("material", word);
        materials.push(((*word).to_owned(), stated));
    }
    let mut all = vec![];
    for (name, stated) in materials {
        for fluid in FLUIDS {
            let mut stated = stated.clone();
            if let Some(fluid) = fluid {
                stated.word("fluid", fluid);
            }
            let material = match stated.get("material") {
                Some(Value::Word(word)) => word.clone(),
                _ => NOT_STATED.to_owned(),
            };
            all.push(Case {
                what: format!("{name}, {}", fluid.unwrap_or(NOT_STATED)),
                material,
                fluid: fluid.unwrap_or(NOT_STATED),
                stated,
            });
        }
    }
    all
}

fn of<'a>(case: &Case, on: On) -> Vec<&'a CardLine> {
    card::select(lines(), on, None, &case.stated)
}

fn says(all: &[&CardLine], words: &str) -> bool {
    all.iter().any(|line| line.text.contains(words))
}

#[test]
fn the_files_of_the_cards_have_no_faults() {
    for (file, text) in FILES {
        let (lines, faults) = from_text(file, text);
        assert!(faults.is_empty(), "{file}: {faults:?}");
        assert!(lines.len() > 20, "{file}");
    }
    // A fault is named with its line and key.
    let text = "format = 1\n[[line]]\non = \"fire\"\ntext = \"x\"\nrecommends = [\"lemonade\"]\n\
                standing = \"common practice\"\n";
    let (_, faults) = from_text("x.toml", text);
    assert_eq!(faults.len(), 1, "{faults:?}");
    assert_eq!(
        (faults[0].line, faults[0].key.as_str()),
        (5, "line[1].recommends")
    );
}

#[test]
fn nothing_recommends_water_foam_co2_or_ordinary_powder_on_burning_metal() {
    let mut burning = 0;
    for case in cases() {
        let burns = BURNING_METALS.contains(&case.material.as_str());
        burning += usize::from(burns);
        for on in On::ALL {
            for line in of(&case, on) {
                if burns {
                    let wrong = line.recommends.iter().find(|agent| !agent.suits_metal());
                    assert_eq!(wrong, None, "{}: {}", case.what, line.text);
                }
                // Beside an ordinary fire it is said each time that metal is another matter.
                let is_coolant_fire = line.recommends.contains(&Agent::Co2);
                assert!(
                    !is_coolant_fire || line.text.contains("Never on burning metal"),
                    "{}: {}",
                    case.what,
                    line.text
                );
            }
        }
        for on in [On::FireFirst, On::Fire] {
            let forbids: BTreeSet<Agent> = of(&case, on)
                .iter()
                .flat_map(|line| line.forbids.iter().copied())
                .collect();
            if burns || case.material == "aluminium" {
                for agent in Agent::ALL.into_iter().filter(|agent| !agent.suits_metal()) {
                    assert!(
                        forbids.contains(&agent),
                        "{}: {agent:?} on {on:?}",
                        case.what
                    );
                }
            }
        }
    }
    // Magnesium, two of titanium, their three words, and nothing stated: with seven coolants each.
    assert!(burning >= 7 * 7, "{burning}");
}

#[test]
fn the_words_of_a_line_say_what_its_data_say() {
    let named = [
        (Agent::Water, "water"),
        (Agent::Foam, "foam"),
        (Agent::Co2, "co2"),
        (Agent::Powder, "powder"),
        (Agent::Sand, "sand"),
        (Agent::ClassD, "class d"),
    ];
    for line in lines() {
        // Running water on a burn puts out no fire, nor does a hand that is washed.
        if matches!(line.on, On::FirstAid) {
            assert!(line.recommends.is_empty() && line.forbids.is_empty());
            continue;
        }
        let short = line.short.clone().unwrap_or_default();
        let brief = line.brief.clone().unwrap_or_default();
        // The first page has one row of forty columns for each.
        let is_first = matches!(line.on, On::Stop | On::FireFirst | On::HurtFirst);
        assert!(!is_first || brief.chars().count() <= 40, "{brief}");
        // What suits burning oil and not burning metal says so in few words too.
        let is_coolant = line.on == On::Fire && line.recommends.contains(&Agent::Foam)
            || line.recommends.contains(&Agent::Co2);
        assert!(!is_coolant || brief.contains("metal"), "{brief}");
        let text = line.text.to_lowercase();
        // The powder of class D is its own thing.
        let text = text
            .split("class d powder")
            .collect::<Vec<_>>()
            .join("class d");
        for (agent, word) in named {
            let in_data = line.recommends.contains(&agent)
                || line.forbids.contains(&agent)
                || line.warns_of.contains(&agent);
            assert_eq!(text.contains(word), in_data, "{word}: {}", line.text);
            // The shortest form recommends nothing, and no short form says of an agent what the line does not.
            assert!(
                !short.to_lowercase().contains(word) || line.forbids.contains(&agent),
                "{short}"
            );
            assert!(!brief.to_lowercase().contains(word) || in_data, "{brief}");
        }
        let both = line
            .recommends
            .iter()
            .find(|agent| line.forbids.contains(agent));
        assert_eq!(both, None, "{}", line.text);
        if !line.forbids.is_empty() {
            let forbids = ["no water", "never water", "foam breaks down"];
            assert!(forbids.iter().any(|words| text.contains(words)), "{text}");
        }
    }
}

#[test]
fn each_material_and_coolant_has_its_lines_and_no_others() {
    for case in cases() {
        let fire = of(&case, On::Fire);
        let what = &case.what;
        // The four lines of every fire card, in their order, the emergency stop first.
        let texts: Vec<&str> = fire.iter().map(|line| line.text.as_str()).collect();
        let place = |words: &str| {
            let place = texts.iter().position(|text| text.starts_with(words));
            place.unwrap_or_else(|| panic!("{what}: {words}: {texts:?}"))
        };
        assert_eq!(
            place("Emergency stop if you can reach it. Warn others."),
            0,
            "{what}"
        );
        // What is done at the machine in passing, and what must never be done, comes before leaving it.
        let burns = BURNING_METALS.contains(&case.material.as_str());
        let pumped = !["dry", "air"].contains(&case.fluid);
        if pumped {
            assert_eq!(place("Coolant pump off"), 1, "{what}: {texts:?}");
        }
        let enclosure = place("Keep the machine's enclosure shut.");
        let mains = place("Mains off if you can reach the switch without passing the fire.");
        assert!(mains < enclosure, "{what}: {texts:?}");
        let leave = place("Leave and call the fire service");
        let never = fire.iter().position(|line| !line.forbids.is_empty());
        if let Some(never) = never {
            assert!(never > enclosure && never < leave, "{what}: {texts:?}");
        }
        assert!(enclosure < leave && enclosure <= 4, "{what}: {texts:?}");
        assert_eq!(place("Fight it only if it is small"), leave + 1, "{what}");
        // Sand that lies on burning metal is left alone: nobody is told to do more because it is not out.
        let end = if burns {
            "Covered: leave it covered, it can burn on beneath."
        } else {
            "Not out at once: leave, shut the room door, stay out."
        };
        assert_eq!(place(end) + 1, texts.len(), "{what}: {texts:?}");
        assert_eq!(says(&fire, "Not out at once"), !burns, "{what}");
        // Nobody said that there is none; where it was said, no page speaks of it.
        for on in [On::Fire, On::FireFirst] {
            for (word, is_said) in [("full", true), ("partial", true), ("none", false)] {
                let mut stated = case.stated.clone();
                stated.word("enclosure", word);
                let lines = card::select(lines(), on, None, &stated);
                assert_eq!(says(&lines, "enclosure shut"), is_said, "{what} {word}");
            }
            assert!(says(&of(&case, on), "enclosure shut"), "{what}");
        }

        assert_eq!(
            says(&fire, "Bone-dry sand or class D powder, laid on gently."),
            burns,
            "{what}"
        );
        assert_eq!(says(&fire, "say which metal burns"), burns, "{what}");
        let is_unknown = case.material == NOT_STATED;
        assert_eq!(says(&fire, "burns, if known."), is_unknown, "{what}");
        assert_eq!(
            says(&fire, "treat it as burning metal"),
            is_unknown,
            "{what}"
        );
        let glow = fire
            .iter()
            .filter(|line| line.text.starts_with("IF the chips themselves glow white"));
        let covered = glow.filter(|line| line.text.contains("then leave them covered"));
        assert_eq!(
            covered.count(),
            usize::from(case.material == "aluminium"),
            "{what}"
        );
        // Something to put out what burns beside the metal is named whatever the coolant.
        let suits = |agent: Agent| fire.iter().any(|line| line.recommends.contains(&agent));
        assert_eq!(suits(Agent::Powder), !burns, "{what}");

        // Metal replaces every line about burning coolant, and never joins it.
        let coolant_fire = |fluids: &[&str]| !burns && fluids.contains(&case.fluid);
        assert_eq!(
            says(&fire, "Oil fire"),
            coolant_fire(&["neat_oil", "mist"]),
            "{what}"
        );
        assert_eq!(
            says(&fire, "Alcohol fire"),
            coolant_fire(&["alcohol"]),
            "{what}"
        );
        assert_eq!(
            says(&fire, "Oil or alcohol fire"),
            coolant_fire(&[NOT_STATED]),
            "{what}"
        );
        assert_eq!(
            says(
                &fire,
                "After CO2 get out: it suffocates. Air the room once the fire is out."
            ),
            !burns,
            "{what}"
        );
        // Water carries burning oil and alcohol about; what nobody confirmed may be either. What suits them needs the mains off.
        let is_class_b = coolant_fire(&["neat_oil", "mist", "alcohol", NOT_STATED]);
        for line in &fire {
            if line.recommends.contains(&Agent::Co2) {
                for words in ["mains are off", "ABC powder", "Never on burning metal"] {
                    assert!(line.text.contains(words), "{what}: {}", line.text);
                }
            }
        }
        let never = |all: &[&CardLine]| {
            let all = all
                .iter()
                .filter(|line| line.text.starts_with("NEVER WATER"));
            assert!(all.clone().all(|line| line.forbids == [Agent::Water]));
            all.count()
        };
        assert_eq!(never(&fire), usize::from(is_class_b), "{what}");
        let is_known_metal = burns && case.material != NOT_STATED;
        let flame = texts
            .iter()
            .position(|text| text.starts_with("An alcohol flame"));
        assert!(flame < Some(leave), "{what}: nobody reads it after leaving");
        let unseen = case.fluid == "alcohol" || case.fluid == NOT_STATED && !is_known_metal;
        assert_eq!(
            says(&fire, "An alcohol flame is almost invisible."),
            unseen,
            "{what}"
        );
        let pumps = fire
            .iter()
            .filter(|line| line.text.starts_with("Coolant pump off"));
        assert_eq!(pumps.count(), usize::from(pumped), "{what}");

        // Foam needs the mains off, and breaks down on alcohol.
        for line in fire
            .iter()
            .filter(|line| line.recommends.contains(&Agent::Foam))
        {
            let text = line.text.to_lowercase();
            let is_said = text.contains("mains off") || text.contains("mains are off");
            assert!(is_said, "{what}: {text}");
            assert_ne!(case.fluid, "alcohol", "{what}");
        }
        // The first page: one line of metal where there is one to say, and never two.
        let first = of(&case, On::FireFirst);
        // What must never be done, and mains and pump in passing, stand above leaving.
        let row = |begins: &str| first.iter().position(|line| line.text.starts_with(begins));
        let leave = row("Warn others. Leave.");
        assert!(leave.is_some(), "{what}");
        let last_never = first.iter().rposition(|line| !line.forbids.is_empty());
        assert!(last_never < leave, "{what}");
        let mains = row("Mains off").or(row("Coolant pump and mains off"));
        assert!(mains.is_some() && mains < leave, "{what}");
        // A current holds who is hurt and kills who helps: it stands above the shout.
        let hurt = of(&case, On::HurtFirst);
        assert!(
            hurt[0].text.starts_with("Electric shock: MAINS OFF"),
            "{what}"
        );
        assert_eq!(never(&first), usize::from(is_class_b), "{what}");
        assert_eq!(says(&first, "Coolant pump and mains off"), pumped, "{what}");
        let metal = first
            .iter()
            .filter(|line| line.forbids.contains(&Agent::Co2))
            .count();
        let is_metal = burns || case.material == "aluminium";
        assert_eq!(metal, usize::from(is_metal), "{what}");
        // The fewest words: never water where oil, alcohol or metal burns. CO2 is forbidden where it would feed the fire in any case; where
        // it suits one fire and not the other, the next page tells them apart.
        let shorts: Vec<&str> = first
            .iter()
            .filter_map(|line| line.short.as_deref())
            .collect();
        let has = |words: &str| shorts.iter().any(|short| short.contains(words));
        assert_eq!(
            has("NEVER WATER"),
            is_class_b || burns,
            "{what}: {shorts:?}"
        );
        assert_eq!(has("CO2"), is_metal && !is_class_b, "{what}: {shorts:?}");
        // With "Fire", "Hurt" and the emergency stop there is one row in five for it.
        let forbidding = first.iter().filter(|line| !line.forbids.is_empty());
        let forbidding = forbidding.filter(|line| line.short.is_some()).count();
        assert!(forbidding <= 1, "{what}: {shorts:?}");
        let briefs = first.iter().filter_map(|line| line.brief.as_deref());
        let briefs = briefs.collect::<Vec<_>>().join(" ");
        let is_never = briefs.to_lowercase().contains("never water");
        assert_eq!(is_never, is_class_b || burns, "{what}");
        assert_eq!(briefs.contains("foam, CO2"), is_metal, "{what}: {briefs}");
    }
}

#[test]
fn the_injury_card_has_its_order_whatever_is_cut() {
    for case in cases() {
        let injury = of(&case, On::Injury);
        let order = [
            "Emergency stop. Wait until everything is still.",
            "Shout for help; call on speaker while you help",
            "Heavy bleeding: press hard on the wound now and keep pressing.",
            "Caught: mains off; never free anyone under power or by reversing the spindle",
            "Not breathing: call, start CPR.",
            "Electric shock: MAINS OFF first, the emergency stop is not enough",
        ];
        assert_eq!(injury.len(), order.len(), "{}", case.what);
        for (line, begins) in injury.iter().zip(order) {
            assert!(
                line.text.starts_with(begins),
                "{}: {}",
                case.what,
                line.text
            );
        }
        let second = of(&case, On::FirstAid);
        for words in [
            "Chip in the eye: do not rub, pull nothing out, cover, hospital",
            "Not breathing: call, start CPR.",
            "Burn: cool running water, 20 min",
            "Clothes on fire: drop and roll, or smother with a blanket; do not run.",
            "Electric shock: MAINS OFF first, the emergency stop is not enough; touch nobody before.",
            "injected under the skin: hospital at once, even if it looks small",
        ] {
            assert!(says(&second, words), "{}: {words}", case.what);
        }
        // Rinsing is for coolant: its line stands above the one of a chip; and above both what kills who helps.
        let place = |words: &str| second.iter().position(|line| line.text.starts_with(words));
        assert_eq!(place("Electric shock"), Some(0), "{}", case.what);
        assert_eq!(
            place("Anything else, and the mill still runs: EMERGENCY STOP"),
            Some(1)
        );
        assert_eq!(
            place("Coolant in the eye: rinse at once, 15 min"),
            Some(2),
            "{}",
            case.what
        );
        // Water on metal that burns on the skin feeds it: that is said before the water for a burn.
        let may_burn =
            BURNING_METALS.contains(&case.material.as_str()) || case.material == "aluminium";
        let chips =
            place("Burning chips on skin or clothes: knock them off or smother them dry, no water");
        assert_eq!(chips.is_some(), may_burn, "{}", case.what);
        assert!(chips < place("Burn: cool running water"), "{}", case.what);
    }
}

// What needs the emergency stop and what feed hold: ISO 13850 and common practice; metals that light from rubbing as below.
#[test]
fn stop_or_hold_has_each_cause_under_its_heading() {
    for case in cases() {
        let what = &case.what;
        let lines = of(&case, On::StopOrHold);
        let is_metal = ["magnesium", "titanium", "zirconium"].contains(&case.material.as_str());
        let mut heading = String::new();
        let mut under = vec![];
        for line in &lines {
            if line.is_heading {
                heading.clone_from(&line.text);
            }
            under.push((heading.clone(), line.text.clone()));
        }
        let hold = if is_metal {
            "LIFT CLEAR, spindle off (cannot lift at once: EMERGENCY STOP) for:"
        } else {
            "FEED HOLD, lift clear, spindle off for:"
        };
        for (cause, expected) in [
            ("touched or caught", "EMERGENCY STOP for:"),
            ("smoke or flame", "EMERGENCY STOP for:"),
            ("chip nest lashing", "EMERGENCY STOP for:"),
            ("part, clamp or tool loose", "EMERGENCY STOP for:"),
            ("tool broken", "EMERGENCY STOP for:"),
            ("crash", "EMERGENCY STOP for:"),
            ("stalled spindle", "EMERGENCY STOP for:"),
            ("violent shaking", "EMERGENCY STOP for:"),
            ("chips starting to pack", hold),
            ("coolant gone", hold),
            ("chatter", hold),
            ("wrong sound", hold),
            ("wrong override", hold),
            ("Axis stalled:", "IN ANY CASE:"),
            ("Power lost: press the emergency stop", "IN ANY CASE:"),
            (
                "Tap stuck: emergency stop; never free it by reversing under power with hands near.",
                "IN ANY CASE:",
            ),
        ] {
            let found = under.iter().find(|(_, text)| text.contains(cause));
            let found = found.map(|(heading, _)| heading.as_str());
            assert_eq!(found, Some(expected), "{what}: {cause}");
        }
        let holds = lines.iter().any(|line| line.text.contains("FEED HOLD"));
        assert_eq!(holds, !is_metal, "{what}");
    }
}

// In a running program nobody can jog before a hold (common practice): metal that must not be held in the cut needs a way out.
#[test]
fn who_cannot_lift_clear_at_once_is_told_to_stop() {
    for mishap in [Mishap::ChipsPacked, Mishap::Chatter] {
        for material in ["magnesium", "titanium", "zirconium"] {
            let mut stated = Conditions::new();
            stated.word("material", material);
            let acts = card::select(lines(), On::Act, Some(mishap), &stated);
            for words in [
                "Lift clear, spindle off, all still",
                "Cannot lift at once: emergency stop.",
            ] {
                assert!(acts[0].text.contains(words), "{}", acts[0].text);
            }
        }
    }
    // A tap that is stuck springs back (common practice).
    let mut stated = Conditions::new();
    stated.word("tool_kind", "tap");
    for mishap in [Mishap::AxisBound, Mishap::ToolBroke, Mishap::SpindleStalled] {
        let acts = card::select(lines(), On::Act, Some(mishap), &stated);
        assert!(
            says(&acts, "Tap stuck: never free it by reversing under power"),
            "{mishap:?}"
        );
    }
}

// T.O. 1-1A-9 paras f, g(3): a tool that turns without feed rubs, and lights thin chips of magnesium; titanium from memory.
#[test]
fn nothing_tells_anybody_to_hold_in_the_cut_where_the_metal_burns() {
    let shipped = shipped();
    for material in ["magnesium", "titanium", "zirconium"] {
        let mut stated = Conditions::new();
        stated.word("material", material);
        let mut texts: Vec<String> = vec![];
        for on in On::ALL {
            let mishaps = ADVICE.iter().map(|advice| Some(advice.mishap));
            for happened in mishaps.chain([None]) {
                let lines = card::select(lines(), on, happened, &stated);
                texts.extend(lines.iter().flat_map(|line| {
                    let brief = line.brief.clone().unwrap_or_default();
                    [line.text.clone(), brief]
                }));
            }
        }
        for phase in Phase::ALL {
            let cautions = caution::select(&shipped.cautions, phase, &stated);
            texts.extend(cautions.iter().flat_map(|caution| {
                [
                    caution.line.clone(),
                    caution.otherwise.clone().unwrap_or_default(),
                ]
            }));
        }
        assert!(texts.len() > 100);
        for text in texts {
            let lower = text.to_lowercase();
            // What says that hold is no way out, or that it stays on at rest, tells nobody to press it in the cut.
            let is_warning = [
                "no feed hold",
                "feed hold does not",
                "feed hold may",
                "feed hold leaves",
                "feed hold stays on",
            ];
            let is_told = lower.contains("feed hold")
                && !is_warning.iter().any(|words| lower.contains(words));
            assert!(!is_told, "{material}: {text}");
        }
    }
}

#[test]
fn no_feed_hold_stands_above_what_needs_the_emergency_stop() {
    let desk = cutting(80, 24, 40);
    for advice in ADVICE {
        let acts = cards::chosen(&desk.model, On::Act, Some(advice.mishap));
        let is_stop = acts[0].stops_by == Some(StopsBy::EmergencyStop);
        let rule = cards::rule(&desk.model, Some(advice.mishap)).join(" ");
        assert!(rule.starts_with("Danger, crash, fire: emergency stop."));
        assert_eq!(rule.contains("Else"), !is_stop, "{}: {rule}", advice.id);
    }
    let list = cards::rule(&desk.model, None).join(" ");
    assert!(list.contains("Else: feed hold"), "{list}");
}

// Emergency stop for what is loose, caught, broken or burning, feed hold for the rest: ISO 13850 and common practice. Magnesium,
// titanium: a tool that turns without feed rubs and lights chips (T.O. 1-1A-9 paras f, g(3); titanium from memory).
#[test]
fn each_stoppage_has_the_stop_that_suits_it() {
    let emergency = [
        Mishap::Crash,
        Mishap::ToolBroke,
        Mishap::ToolSlipped,
        Mishap::PartMoved,
        Mishap::Fire,
        Mishap::Injury,
        Mishap::Power,
        Mishap::SpindleStalled,
        Mishap::ChipNest,
        Mishap::Shaking,
    ];
    for advice in ADVICE {
        for case in cases() {
            let acts = card::select(lines(), On::Act, Some(advice.mishap), &case.stated);
            let ways: Vec<StopsBy> = acts.iter().filter_map(|line| line.stops_by).collect();
            let is_metal = ["magnesium", "titanium", "zirconium"].contains(&case.material.as_str());
            let expected = if emergency.contains(&advice.mishap) {
                StopsBy::EmergencyStop
            } else if is_metal {
                StopsBy::LiftClear
            } else {
                StopsBy::FeedHold
            };
            assert_eq!(ways, [expected], "{} {}", advice.id, case.what);
            let first = &acts[0].text;
            match expected {
                StopsBy::EmergencyStop => assert!(first.to_lowercase().contains("emergency stop")),
                StopsBy::FeedHold => assert!(first.starts_with("Feed hold"), "{first}"),
                StopsBy::LiftClear => {
                    assert!(first.starts_with("Lift clear") && !first.contains("Feed hold"));
                }
            }
            for on in [On::Check, On::Change, On::GoOn] {
                let all = card::select(lines(), on, Some(advice.mishap), &case.stated);
                assert!(!all.is_empty(), "{} {on:?} {}", advice.id, case.what);
            }
        }
    }
    let of = |mishap: Mishap, material: &str| {
        let mut stated = Conditions::new();
        stated.word("material", material);
        let acts = card::select(lines(), On::Act, Some(mishap), &stated);
        acts.into_iter()
            .map(|line| line.text.clone())
            .collect::<Vec<_>>()
            .join(" ")
    };
    assert!(of(Mishap::ToolBroke, "other").contains("Find every piece"));
    assert!(of(Mishap::PartMoved, "other").contains("find every piece"));
    let stalled = of(Mishap::AxisBound, "other");
    assert!(stalled.contains("Emergency stop if it keeps driving or cannot be lifted."));
    let power = of(Mishap::Power, "other");
    assert!(power.contains("Press the emergency stop before power returns. Hands away."));
    // Nobody has said that the head cannot sink.
    assert!(power.contains("Keep hands from under the head"), "{power}");
}

#[test]
fn chips_that_packed_are_no_emergency_stop() {
    let library = shipped();
    let mut stated = Conditions::new();
    stated.word("event", Mishap::ChipsPacked.caution_word());
    stated.word("material", "aluminium");
    stated.word("fluid", "air");
    let pause = Phase::Recovery;
    for caution in caution::select(&library.cautions, pause, &stated) {
        assert!(
            !caution.line.to_lowercase().contains("emergency stop"),
            "{}",
            caution.line
        );
    }
}

#[test]
fn air_at_the_cut_is_for_what_air_does_not_spread() {
    for case in cases() {
        let jet = card::select(lines(), On::Jet, None, &case.stated);
        assert_eq!(jet.len(), 1, "{}", case.what);
        let may_blow = ["aluminium", "ptfe", "pvc", "other"].contains(&case.material.as_str());
        assert_eq!(jet[0].text == "air at the cut", may_blow, "{}", case.what);
    }
}

// No words of a card or of advice are made by changing those of another.
#[test]
fn no_advice_is_made_by_changing_words() {
    let home = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    for file in [
        "app/stop_advice.rs",
        "app/cards.rs",
        "app/card.rs",
        "app/after_stop.rs",
        "ui/stopped.rs",
        "ui/small.rs",
    ] {
        let text = std::fs::read_to_string(home.join("src").join(file)).expect("a source");
        for line in text.lines() {
            for word in [".replace(", ".replacen(", ".contains(\"", ".contains('"] {
                assert!(!line.contains(word), "{file}: {line}");
            }
        }
    }
}
