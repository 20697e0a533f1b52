//! The person's own profiles beside the shipped ones.

use std::borrow::Cow;

use millside::profile::fault::Origin;
use millside::profile::library::Library;
use millside::profile::library::ProfileFile;

fn own(text: &str) -> Library {
    own_files(&[("own.toml", text)])
}

fn own_files(files: &[(&str, &str)]) -> Library {
    let files: Vec<ProfileFile> = files
        .iter()
        .map(|(file, text)| ProfileFile {
            origin: Origin::Own,
            file: (*file).to_owned(),
            bytes: Ok(Cow::Owned(text.as_bytes().to_vec())),
        })
        .collect();
    Library::with_own(&files)
}

fn tool(name: &str, diameter: &str) -> String {
    format!(
        "[[tool]]\nname = \"{name}\"\ntitle = \"Mine\"\nkind = \"end mill\"\n\
         diameter = \"{diameter}\"\nflutes = 2\nflute_length = \"20 mm\"\nshank = \"6 mm\"\n\
         stick_out = \"25 mm\"\nedge = \"carbide\"\n"
    )
}

fn faults(library: &Library) -> Vec<String> {
    library.faults.iter().map(ToString::to_string).collect()
}

#[test]
fn an_own_tool_takes_the_place_of_the_shipped_one_of_its_name() {
    let shipped = Library::shipped();
    let library = own(&format!("format = 1\n{}", tool("em-6-1f", "5.98 mm")));
    assert_eq!(faults(&library), Vec::<String>::new());
    let (tool, mark) = library.tools.get_marked("em-6-1f").expect("there");
    assert!((tool.diameter_mm - 5.98).abs() < 1e-12);
    assert_eq!(mark.origin, Origin::Own);
    assert!(mark.replaces_shipped);
    assert_eq!(library.tools.names(), shipped.tools.names(), "same order");
}

#[test]
fn an_own_tool_of_a_new_name_stands_after_the_shipped_ones() {
    let library = own(&format!("format = 1\n{}", tool("mine", "1/4 in")));
    let (tool, mark) = library.tools.get_marked("mine").expect("there");
    assert!((tool.diameter_mm - 6.35).abs() < 1e-12);
    assert!(!mark.replaces_shipped);
    assert_eq!(library.tools.names().last(), Some(&"mine"));
}

#[test]
fn a_broken_entry_is_reported_and_the_rest_of_its_file_is_taken() {
    let library = own(&format!(
        "format = 1\n{}{}{}",
        tool("one", "6 mm"),
        tool("two", "6 metres"),
        tool("three", "8 mm")
    ));
    assert!(library.tools.get("one").is_some());
    assert!(library.tools.get("two").is_none());
    assert!(library.tools.get("three").is_some());
    assert_eq!(library.faults.len(), 1);
    assert_eq!(library.faults[0].entry.as_deref(), Some("two"));
}

#[test]
fn a_file_that_is_no_toml_still_gives_what_stands_before_and_after() {
    let library = own(&format!(
        "format = 1\n{}[[tool]]\nname = \"two\ntitle = 3\n{}",
        tool("one", "6 mm"),
        tool("three", "8 mm")
    ));
    assert!(library.tools.get("one").is_some());
    assert!(library.tools.get("three").is_some());
    assert_eq!(library.faults.len(), 1, "{:?}", faults(&library));
    assert_eq!(library.faults[0].line, 13);
}

#[test]
fn a_broken_own_profile_leaves_the_shipped_one_in_its_place() {
    let library = own(&format!("format = 1\n{}", tool("em-6-1f", "6 metres")));
    let (tool, mark) = library.tools.get_marked("em-6-1f").expect("there");
    assert!((tool.diameter_mm - 6.0).abs() < 1e-12);
    assert_eq!(mark.origin, Origin::Shipped);
    assert_eq!(library.faults.len(), 1);
}

#[test]
fn the_same_name_twice_among_own_files_is_reported() {
    let one = format!("format = 1\n{}", tool("mine", "6 mm"));
    let two = format!("format = 1\n{}", tool("mine", "8 mm"));
    let library = own_files(&[("one.toml", &one), ("two.toml", &two)]);
    let tool = library.tools.get("mine").expect("the first one");
    assert!((tool.diameter_mm - 6.0).abs() < 1e-12);
    let text = faults(&library).join("\n");
    assert!(
        text.contains("two.toml:2:1: mine: the name mine is used twice; the first is in one.toml"),
        "{text}"
    );
}

fn caution(id: &str, critical: bool, when: &str) -> String {
    format!(
        "format = 1\n[[caution]]\nid = \"{id}\"\nphase = \"before_start\"\nplace = \"work\"\n\
         critical = {critical}\nrepeat = true\nline = \"Tighten the vice with the long handle\"\n\
         answer = \"TIGHT\"\nwhy = \"Ours slips.\"\nhazard = \"work ejected\"\n{when}\
         standing = \"own\"\n"
    )
}

#[test]
fn an_own_caution_is_added() {
    let library = own(&caution("our-vice", true, ""));
    assert_eq!(faults(&library), Vec::<String>::new());
    let shipped = Library::shipped().cautions.items().len();
    assert_eq!(library.cautions.items().len(), shipped + 1);
}

#[test]
fn a_shipped_critical_caution_may_be_worded_anew() {
    let library = own(&caution("work-tight", true, ""));
    assert_eq!(faults(&library), Vec::<String>::new());
    let caution = library.cautions.get("work-tight").expect("there");
    assert_eq!(caution.line, "Tighten the vice with the long handle");
}

#[test]
fn a_shipped_critical_caution_cannot_be_weakened() {
    for weaker in [
        caution("work-tight", false, ""),
        caution("work-tight", true, "when = { workholding = \"vice\" }\n"),
    ] {
        let library = own(&weaker);
        let text = faults(&library).join("\n");
        assert!(
            text.contains("takes the place of a shipped critical caution and weakens it"),
            "{text}"
        );
        let caution = library.cautions.get("work-tight").expect("there");
        assert!(caution.critical && caution.when.is_empty());
    }
}

#[test]
fn a_file_that_cannot_be_read_is_a_fault_and_not_an_end() {
    let library = Library::with_own(&[ProfileFile {
        origin: Origin::Own,
        file: "locked.toml".to_owned(),
        bytes: Err("permission denied".to_owned()),
    }]);
    assert_eq!(
        faults(&library),
        [
            "locked.toml: the file could not be read: permission denied. \
          Look at its permissions, or remove it."
        ]
    );
    assert!(!library.machines.items().is_empty());
}

#[test]
fn no_own_profiles_are_no_fault() {
    let library = Library::with_own(&[]);
    assert!(library.faults.is_empty());
    let empty = own("format = 1\n");
    assert!(empty.faults.is_empty());
}

#[test]
fn a_mistyped_name_finds_its_neighbours() {
    let library = Library::shipped();
    assert_eq!(
        library.machines.near("light-mill").first(),
        Some(&"light-belt-mill")
    );
    assert!(library.tools.near("em-6-1").contains(&"em-6-1f"));
    assert!(library.tools.near("\u{202e}").is_empty());
}

#[test]
fn every_example_of_the_guide_to_profiles_loads() {
    let guide = include_str!("../profiles/README.md");
    let mut examples = 0;
    for block in guide.split("```toml\n").skip(1) {
        let example = block.split("```").next().expect("a closed block");
        let library = own(example);
        assert_eq!(faults(&library), Vec::<String>::new(), "{example}");
        examples += 1;
    }
    assert_eq!(examples, 7);
}

fn checklist(lines: usize, answer: &str) -> String {
    let mut text = String::from(
        "format = 1\n[[checklist]]\nname = \"ours\"\ntitle = \"Our facing\"\noperation = \"face\"\n",
    );
    for line in 0..lines {
        text.push_str(&format!(
            "[[checklist.step]]\nline = \"Step {line} is looked at\"\nanswer = \"{answer}\"\n"
        ));
    }
    text
}

#[test]
fn an_own_checklist_gives_a_line_for_each_step_in_its_order() {
    let library = own(&checklist(3, "SEEN"));
    assert_eq!(faults(&library), Vec::<String>::new());
    let lines: Vec<&str> = library
        .cautions
        .items()
        .iter()
        .filter(|caution| caution.checklist.is_some())
        .map(|caution| caution.id.as_str())
        .collect();
    assert_eq!(lines, ["ours-1", "ours-2", "ours-3"]);
}

#[test]
fn errors_of_a_checklist_are_shown_with_their_place() {
    let text = faults(&own(&checklist(2, "ok"))).join("\n");
    assert!(text.contains("own.toml:8:10: ours"), "{text}");
    assert!(text.contains("is \"ok\""), "{text}");
    let text = faults(&own(&checklist(10, "SEEN"))).join("\n");
    assert!(text.contains("has 10 lines"), "{text}");
    let unknown = checklist(1, "SEEN").replace("\"face\"", "\"faces\"");
    let text = faults(&own(&unknown)).join("\n");
    assert!(text.contains("own.toml:5:13: ours"), "{text}");
    let none = checklist(0, "SEEN");
    assert!(faults(&own(&none)).join("\n").contains("step is missing"));
}

#[test]
fn a_caution_is_left_out_only_with_a_reason_and_the_worst_never() {
    let leave = |id: &str, reason: &str| {
        format!("format = 1\n[[leave_out]]\ncaution = \"{id}\"\nreason = \"{reason}\"\n")
    };
    let library = own(&leave("screen-up", "a wall stands there"));
    assert_eq!(faults(&library), Vec::<String>::new());
    let caution = library.cautions.get("screen-up").expect("still there");
    assert_eq!(caution.left_out.as_deref(), Some("a wall stands there"));
    for (id, reason) in [
        ("work-tight", "in the way"),
        ("screen-up", " "),
        ("no-such", "x"),
    ] {
        let library = own(&leave(id, reason));
        assert_eq!(library.faults.len(), 1, "{id} {reason:?}");
        assert!(
            library
                .cautions
                .items()
                .iter()
                .all(|c| c.left_out.is_none())
        );
    }
}
