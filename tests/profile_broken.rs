//! What a person reads when a profile file is broken: one file for each kind of mistake.

use std::borrow::Cow;
use std::fs;
use std::path::Path;
use std::path::PathBuf;

use millside::plain;
use millside::profile::fault::Fault;
use millside::profile::fault::Origin;
use millside::profile::library::LARGEST_FILE;
use millside::profile::library::Library;
use millside::profile::library::ProfileFile;
use proptest::prelude::*;

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/fixtures/profiles")
        .join(name)
}

fn only(file: &str, bytes: &[u8]) -> Library {
    Library::only(&[ProfileFile {
        origin: Origin::Own,
        file: file.to_owned(),
        bytes: Ok(Cow::Owned(bytes.to_vec())),
    }])
}

fn texts(library: &Library) -> String {
    library
        .faults
        .iter()
        .map(ToString::to_string)
        .collect::<Vec<_>>()
        .join("\n")
}

fn entries(library: &Library) -> usize {
    library.machines.items().len()
        + library.materials.items().len()
        + library.tools.items().len()
        + library.cautions.items().len()
        + library.templates.items().len()
}

/// Each broken file, and words that the person reads.
const BROKEN: &[(&str, &[&str])] = &[
    (
        "format_missing",
        &["format is missing", "Write format = 1 as the first line."],
    ),
    (
        "format_of_a_newer_program",
        &[
            "format_of_a_newer_program.toml:1:10: format is 2",
            "Write format = 1; a greater one comes from a newer program.",
        ],
    ),
    ("format_as_text", &[r#"format is "1""#]),
    (
        "title_missing",
        &[
            "my-mill: tool[1].title is missing",
            "Write a text in quotes.",
        ],
    ),
    ("title_empty", &["tool[1].title is empty"]),
    (
        "title_is_a_number",
        &["tool[1].title is 6", "Write a text in quotes."],
    ),
    (
        "title_too_long",
        &[
            "tool[1].title is 700 characters long",
            "Write at most 600 characters.",
        ],
    ),
    (
        "title_with_an_escape_sequence",
        &[
            "it holds a hidden character, U+001B",
            r#"is "My \u{1b}[2J mill""#,
        ],
    ),
    (
        "title_that_turns_the_reading_direction",
        &["it holds a hidden character, U+202E"],
    ),
    (
        "name_with_capitals",
        &[
            r#"tool[1].name is "My Mill""#,
            "Write lower-case letters, digits and hyphens, at most 60.",
        ],
    ),
    (
        "name_used_twice",
        &[
            "the name my-mill is used twice; the first is in name_used_twice.toml:3",
            "Give each its own name.",
        ],
    ),
    (
        "key_misspelt",
        &[
            "tool[1].stickout is not a key here. Did you mean stick_out?",
            "tool[1].stick_out is missing",
        ],
    ),
    (
        "key_unknown",
        &[
            "tool[1].colour is not a key here",
            "The keys here are: arbor_speed_rating, centre_cutting, coating",
        ],
    ),
    (
        "table_unknown",
        &["tools is not a key here. Did you mean tool?"],
    ),
    (
        "table_as_text",
        &[r#"tool is "my-mill""#, "Write tables headed [[tool]]."],
    ),
    (
        "unit_missing",
        &[
            r#"tool[1].diameter is "6": has no unit"#,
            "Write a value with its unit in quotes, such as 6 mm; from 0.05 mm to 300 mm.",
        ],
    ),
    (
        "unit_forgotten_with_its_quotes",
        &[
            "tool[1].diameter is 6",
            "Write a value with its unit in quotes, such as 6 mm",
        ],
    ),
    (
        "unit_unknown",
        &[r#"is "6 furlongs": the unit "furlongs" is not one of mm, cm, um, in"#],
    ),
    (
        "unit_of_another_quantity",
        &[r#"machine[1].x.travel.value is "300 mm/min": the unit "mm/min" is not one of mm"#],
    ),
    (
        "unit_of_a_table_unknown",
        &[
            r#"machine[1].x.stiffness.value is "2 lb/in": the unit "lb/in" is not one of N/um, kN/mm, N/mm"#,
        ],
    ),
    (
        "value_negative",
        &[r#"tool[1].diameter is "-6 mm": it must not be negative"#],
    ),
    (
        "value_without_a_number",
        &[r#"tool[1].diameter is "NaN mm": it does not begin with a number"#],
    ),
    (
        "value_infinite",
        &[
            "material[1].mc.value is inf",
            "Write a number from 0 to 0.6.",
        ],
    ),
    ("value_that_is_no_number", &["material[1].mc.value is nan"]),
    (
        "value_huge",
        &[r#"tool[1].diameter is "6000 mm""#, "from 0.05 mm to 300 mm"],
    ),
    (
        "value_with_an_exponent",
        &[r#"is "6e3 mm": powers of ten are not taken"#],
    ),
    (
        "count_with_decimals",
        &[
            "tool[1].flutes is 2.5",
            "Write a whole number from 1 to 60.",
        ],
    ),
    ("count_negative", &["tool[1].flutes is -2"]),
    (
        "count_huge",
        &["tool[1].flutes is 99999999999999999999999999"],
    ),
    (
        "span_backwards",
        &[r#"material[1].hss.value is "300 to 200 ft/min": goes from more to less"#],
    ),
    (
        "evidence_unknown",
        &[
            r#"machine[1].x.travel.how is "guessed""#,
            "Write one of: measured, label, manual, computed, assumed.",
        ],
    ),
    ("evidence_missing", &["machine[1].x.travel.how is missing"]),
    (
        "limit_without_evidence",
        &[
            r#"machine[1].x.travel is "300 mm""#,
            r#"Write { value = ..., how = "measured""#,
        ],
    ),
    (
        "axis_missing",
        &[
            "my-machine: machine[1].y is missing",
            "Write a table for this axis.",
        ],
    ),
    (
        "belt_step_missing",
        &[
            "machine[1].spindle.step is missing",
            "Write at least one table [[machine.spindle.step]]",
        ],
    ),
    (
        "belt_step_upside_down",
        &["machine[1].spindle.step[1].top is below the least speed of this step"],
    ),
    (
        "state_unknown",
        &["drives is not a key that cautions know. Did you mean drive?"],
    ),
    (
        "state_with_an_unknown_word",
        &[
            r#"machine[1].states.enclosure is "glass""#,
            "Write one of: none, partial, full.",
        ],
    ),
    (
        "source_not_in_the_file",
        &[
            r#"material[1].kc1_1.source is "catalogue""#,
            "Write one of: book, habit.",
        ],
    ),
    ("source_missing", &["material[1].kc1_1.source is missing"]),
    (
        "source_without_citation",
        &[
            "source.book.citation is missing",
            "Write author, title, edition and table of what was read.",
        ],
    ),
    (
        "standing_unknown",
        &[
            r#"source.book.standing is "sure""#,
            "Write one of: read, from memory, common practice, own.",
        ],
    ),
    (
        "number_without_source",
        &[
            r#"material[1].kc1_1 is "800 N/mm2""#,
            r#"Write { value = ..., source = "NAME" }"#,
        ],
    ),
    (
        "finishing_speed_alone",
        &["material[1].hss_finish stands without hss"],
    ),
    (
        "class_unknown",
        &[
            r#"material[1].class is "aluminum alloy""#,
            "Write one of: aluminium, copper alloy",
        ],
    ),
    (
        "caution_word_unknown",
        &[
            r#"material[1].caution is "magnesum""#,
            "Write one of: magnesium, titanium, zirconium, aluminium",
        ],
    ),
    (
        "tool_kind_unknown",
        &[
            r#"tool[1].kind is "endmill""#,
            "Write one of: end mill, ball end mill",
        ],
    ),
    (
        "tap_without_pitch",
        &["tool[1].pitch is missing", "Write the pitch of this tap."],
    ),
    (
        "drill_without_point_angle",
        &["tool[1].point_angle is missing"],
    ),
    (
        "corner_radius_too_large",
        &["tool[1].corner_radius is more than half the diameter"],
    ),
    (
        "caution_line_too_long",
        &[
            "caution[1].line is 76 characters long",
            "Write at most 70 characters; put the rest into why.",
        ],
    ),
    (
        "caution_with_two_semicolons",
        &["caution[1].line has more than one semicolon"],
    ),
    (
        "caution_answered_with_ok",
        &[
            r#"caution[1].answer is "OK""#,
            "Write the state that the person sees",
        ],
    ),
    (
        "caution_without_answer",
        &[
            "caution[1].answer is missing",
            "A critical caution needs the state to confirm",
        ],
    ),
    (
        "caution_place_unknown",
        &[
            r#"caution[1].place is "vice""#,
            "Write one of: person, spindle, work, table, door, controls, room.",
        ],
    ),
    (
        "caution_phase_unknown",
        &[
            r#"caution[1].phase is "start""#,
            "Write one of: before_power, setup",
        ],
    ),
    (
        "condition_unknown",
        &["workholdin is not a key that cautions know. Did you mean workholding?"],
    ),
    (
        "condition_with_an_unknown_word",
        &[
            r#"caution[1].when.enclosure is "glass""#,
            "Write one of: none, partial, full.",
        ],
    ),
    (
        "condition_with_a_word_that_never_is",
        &[
            r#"caution[1].when.workholding is "vise""#,
            "Did you mean vice? Write one of: vice, clamps, dowels",
        ],
    ),
    (
        "condition_with_a_list_of_words",
        &[
            r#"caution[1].when.material lists what is "aluminum""#,
            "Did you mean aluminium?",
        ],
    ),
    (
        "leave_out_unknown",
        &[
            r#"leave_out_unknown.toml:4:11: keys-off: leave_out[1].caution is "keys-off", and no caution has this name"#,
            "Did you mean keys-of? millside profile list names them all.",
        ],
    ),
    (
        "source_where_none_is_described",
        &[
            r#"kc1_1.source is "book", and this file describes no source"#,
            "Write a table [source.NAME]",
        ],
    ),
    (
        "condition_number_without_bound",
        &[
            "caution[1].when.noise_dba is a number",
            "Write noise_dba_min",
        ],
    ),
    (
        "condition_bound_on_a_word",
        &[
            "caution[1].when.fluid_min is no number",
            "Write fluid without _min.",
        ],
    ),
    (
        "condition_empty_list",
        &["caution[1].when.workholding is a list"],
    ),
    ("template_without_setup", &["template[1].setup is missing"]),
    (
        "template_setup_without_step",
        &["template[1].setup[1].step is missing"],
    ),
    (
        "template_zero_unknown",
        &[
            r#"template[1].setup[1].zero is "corner""#,
            "Write a zero point such as left-front-top or 1+",
        ],
    ),
    (
        "template_step_kind_unknown",
        &[
            r#"template[1].setup[1].step[1].kind is "facing""#,
            "Write one of: face, pocket",
        ],
    ),
    (
        "quote_not_closed",
        &["quote_not_closed.toml:5:", "Write TOML: key = value"],
    ),
    ("key_twice", &["key_twice.toml:9:1", "duplicate key"]),
    ("list_not_closed", &["list_not_closed.toml:1"]),
];

#[test]
fn the_files_that_the_broken_ones_are_made_of_are_whole() {
    for name in ["tool", "machine", "material", "caution", "template"] {
        let file = format!("{name}.toml");
        let bytes = fs::read(folder("good").join(&file)).expect("fixture");
        let library = only(&file, &bytes);
        assert_eq!(texts(&library), "", "{file}");
        assert_eq!(entries(&library), 1, "{file}");
    }
}

#[test]
fn each_mistake_is_named_with_its_place_and_what_is_allowed() {
    let mut wrong = vec![];
    for (name, words) in BROKEN {
        let file = format!("{name}.toml");
        let bytes = fs::read(folder("bad").join(&file)).expect("fixture");
        let library = only(&file, &bytes);
        let text = texts(&library);
        if !text.contains(&format!("{file}:")) {
            wrong.push(format!("{name}: no place in\n{text}"));
        }
        for word in *words {
            if !text.contains(word) {
                wrong.push(format!("{name}: {word}\nis not in\n{text}"));
            }
        }
        if text.chars().any(|c| c != '\n' && plain::is_hidden(c)) {
            wrong.push(format!("{name}: hidden characters"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
}

#[test]
fn every_broken_file_has_its_words() {
    let mut on_disk: Vec<String> = fs::read_dir(folder("bad"))
        .expect("fixtures")
        .map(|entry| {
            let name = entry.expect("entry").file_name();
            name.to_string_lossy().trim_end_matches(".toml").to_owned()
        })
        .collect();
    on_disk.sort();
    let mut listed: Vec<String> = BROKEN.iter().map(|(name, _)| (*name).to_owned()).collect();
    listed.sort();
    assert_eq!(on_disk, listed);
}

#[test]
fn a_fault_in_one_file_leaves_the_shipped_profiles_whole() {
    let shipped = entries(&Library::shipped());
    for (name, _) in BROKEN {
        let file = format!("{name}.toml");
        let bytes = fs::read(folder("bad").join(&file)).expect("fixture");
        let library = Library::with_own(&[ProfileFile {
            origin: Origin::Own,
            file,
            bytes: Ok(Cow::Owned(bytes)),
        }]);
        assert!(entries(&library) >= shipped, "{name}");
        assert!(!library.faults.is_empty(), "{name}");
    }
}

#[test]
fn bytes_that_are_no_text_are_named_with_their_line() {
    let library = only("x.toml", b"format = 1\n# caf\xe9\n");
    assert_eq!(
        texts(&library),
        "x.toml:2:6: the file is not UTF-8 text from byte 17 on. Save it as UTF-8."
    );
}

#[test]
fn a_file_as_large_as_a_disk_is_refused() {
    let library = only("x.toml", &vec![b'#'; LARGEST_FILE + 1]);
    let text = texts(&library);
    assert!(
        text.starts_with("x.toml: the file has more than 1048576 bytes"),
        "{text}"
    );
}

#[test]
fn an_empty_file_is_a_fault_with_a_remedy() {
    let text = texts(&only("x.toml", b""));
    assert!(
        text.contains("format is missing. Write format = 1"),
        "{text}"
    );
}

#[test]
fn a_file_cut_off_anywhere_is_reported_or_whole_and_never_a_panic() {
    for name in ["tool", "machine", "material", "caution", "template"] {
        let bytes = fs::read(folder("good").join(format!("{name}.toml"))).expect("fixture");
        for end in 0..bytes.len() - 1 {
            let library = only("cut.toml", &bytes[..end]);
            let has_entry = bytes[..end].windows(2).any(|pair| pair == b"[[");
            assert!(
                entries(&library) + library.faults.len() > 0 || !has_entry,
                "{name} cut at {end} gave nothing at all"
            );
        }
    }
}

#[test]
fn a_thousand_nested_lists_are_a_fault() {
    let deep = format!("format = 1\nx = {}{}\n", "[".repeat(1000), "]".repeat(1000));
    let library = only("deep.toml", deep.as_bytes());
    assert!(!library.faults.is_empty());
}

fn place_is_inside(fault: &Fault, text: &str) -> bool {
    let lines = text.matches('\n').count() + 1;
    fault.line <= lines && fault.span.start <= text.len()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    #[test]
    fn any_bytes_give_faults_and_never_a_panic(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        let library = only("any.toml", &bytes);
        prop_assert!(entries(&library) == 0);
        prop_assert!(!library.faults.is_empty());
    }

    #[test]
    fn one_changed_character_gives_no_panic_and_places_inside_the_file(
        which in 0..5_usize,
        at in 0..10_000_usize,
        to in any::<char>(),
    ) {
        let name = ["tool", "machine", "material", "caution", "template"][which];
        let text = fs::read_to_string(folder("good").join(format!("{name}.toml"))).expect("fixture");
        let mut letters: Vec<char> = text.chars().collect();
        let at = at % letters.len();
        letters[at] = to;
        let changed: String = letters.into_iter().collect();
        let library = only("changed.toml", changed.as_bytes());
        for fault in &library.faults {
            prop_assert!(place_is_inside(fault, &changed), "{}", fault);
            let shown = fault.to_string();
            prop_assert!(!shown.chars().any(plain::is_hidden), "{}", shown);
        }
        for tool in library.tools.items() {
            prop_assert!(tool.diameter_mm.is_finite() && tool.diameter_mm > 0.0);
        }
    }
}
