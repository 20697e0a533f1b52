//! `millside profile` as a person runs it.

use std::fs;
use std::path::Path;
use std::process::Command;
use std::process::Output;

use serde_json::Value;

fn run(data: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_millside"))
        .arg("profile")
        .args(arguments)
        .env("XDG_DATA_HOME", data)
        .output()
        .expect("the program starts")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("output is UTF-8")
}

fn object(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout).expect("one JSON object")
}

fn own_tool(data: &Path, name: &str, body: &str) {
    let folder = data.join("millside/profiles/tools");
    fs::create_dir_all(&folder).expect("folder is made");
    fs::write(folder.join(name), body).expect("file is written");
}

const TOOL: &str = "format = 1\n[[tool]]\nname = \"my-mill\"\ntitle = \"My mill\"\n\
    kind = \"end mill\"\ndiameter = \"6 mm\"\nflutes = 2\nflute_length = \"20 mm\"\n\
    shank = \"6 mm\"\nstick_out = \"25 mm\"\nedge = \"carbide\"\n";

#[test]
fn list_gives_one_object_with_every_shelf() {
    let data = tempfile::tempdir().unwrap();
    let output = run(data.path(), &["list", "--json"]);
    assert_eq!(output.status.code(), Some(0));
    let object = object(&output);
    assert_eq!(object["format"], 1);
    assert_eq!(object["faults"], 0);
    for shelf in ["machines", "materials", "tools", "cautions", "templates"] {
        let rows = object[shelf].as_array().expect("a list");
        assert!(!rows.is_empty(), "{shelf}");
        for row in rows {
            assert!(row["name"].as_str().is_some_and(|name| !name.is_empty()));
            assert_eq!(row["origin"], "shipped");
        }
    }
    assert_eq!(object["machines"][0]["name"], "light-belt-mill");
}

#[test]
fn list_names_everything_in_words_too() {
    let data = tempfile::tempdir().unwrap();
    let shown = text(&run(data.path(), &["list"]).stdout);
    for word in [
        "MACHINES",
        "light-belt-mill",
        "al-6061-t6",
        "em-6-1f",
        "work-tight",
    ] {
        assert!(shown.contains(word), "{word}");
    }
}

#[test]
fn own_profiles_of_the_data_folder_are_found_and_marked() {
    let data = tempfile::tempdir().unwrap();
    own_tool(data.path(), "mine.toml", TOOL);
    own_tool(data.path(), "notes.txt", "not a profile");
    let shown = text(&run(data.path(), &["list"]).stdout);
    assert!(shown.contains("My mill  (own)"), "{shown}");
    let output = run(data.path(), &["check"]);
    assert_eq!(output.status.code(), Some(0));
}

#[test]
fn a_broken_own_profile_is_counted_in_the_list_and_shown_by_check() {
    let data = tempfile::tempdir().unwrap();
    own_tool(data.path(), "mine.toml", &TOOL.replace("6 mm", "6 m"));
    own_tool(data.path(), "good.toml", &TOOL.replace("my-mill", "good"));
    let shown = text(&run(data.path(), &["list"]).stdout);
    assert!(shown.contains("2 faults in profiles"), "{shown}");
    assert!(shown.contains("good "), "the rest still loads");
    let output = run(data.path(), &["check"]);
    assert_eq!(output.status.code(), Some(1));
    let shown = text(&output.stdout);
    for word in [
        "my-mill: tool[1].diameter is \"6 m\": the unit \"m\" is not one of mm, cm, um, in",
        "mine.toml:6:12",
        "6 | diameter = \"6 m\"",
        "help: Write a value with its unit in quotes, such as 6 mm",
        "2 faults",
    ] {
        assert!(shown.contains(word), "{word} in\n{shown}");
    }
}

#[test]
fn show_gives_the_source_of_each_number() {
    let data = tempfile::tempdir().unwrap();
    let shown = text(&run(data.path(), &["show", "6082"]).stdout);
    for word in [
        "material al-6082-t6  (shipped, profiles/materials/aluminium.toml)",
        "800 N/mm²  [trade catalogue 2017",
        "(from memory)",
        "[common practice, no source]",
        "; also 100 m/min [Carvill",
    ] {
        assert!(shown.contains(word), "{word} in\n{shown}");
    }
    let object = object(&run(data.path(), &["show", "al-6082-t6", "--json"]));
    let material = &object["profiles"][0];
    assert_eq!(material["kind_of_profile"], "material");
    assert_eq!(material["kc1_1_n_mm2"]["value"], 800.0);
    assert_eq!(material["kc1_1_n_mm2"]["source"]["standing"], "read");
    assert_eq!(material["fz_slot_share"]["value"][0], 0.005);
}

#[test]
fn show_tells_how_a_limit_of_a_machine_was_found() {
    let data = tempfile::tempdir().unwrap();
    let shown = text(&run(data.path(), &["show", "light-belt-mill"]).stdout);
    assert!(shown.contains("X push"), "{shown}");
    assert!(shown.contains("(assumed: "), "{shown}");
    assert!(
        shown.contains("(computed: motor 4500 rpm times 2"),
        "{shown}"
    );
    for (name, key) in [
        ("plate-with-clamp-swap", "setups"),
        ("belt-cover", "when"),
        ("tap-m4", "pitch_mm"),
    ] {
        let object = object(&run(data.path(), &["show", name, "--json"]));
        assert!(!object["profiles"][0][key].is_null(), "{name}");
    }
}

#[test]
fn a_name_that_is_not_there_ends_with_two_and_names_its_neighbours() {
    let data = tempfile::tempdir().unwrap();
    let output = run(data.path(), &["show", "em-6-f\u{1b}\u{200b}"]);
    assert_eq!(output.status.code(), Some(2));
    let said = text(&output.stderr);
    assert!(
        said.contains("could not find the profile em-6-f\\u{1b}\\u{200b}"),
        "{said}"
    );
    assert!(said.contains("Did you mean em-6-"), "{said}");
}

#[test]
fn check_of_a_file_that_is_not_there_ends_with_two() {
    let data = tempfile::tempdir().unwrap();
    let output = run(data.path(), &["check", "/nowhere/x.toml"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("could not open the profile (/nowhere/x.toml)"));
}

#[test]
fn check_of_a_named_file_gives_its_faults_as_an_object() {
    let data = tempfile::tempdir().unwrap();
    let path = data.path().join("x.toml");
    fs::write(&path, TOOL.replace("flutes = 2", "flutes = 0")).unwrap();
    let name = path.display().to_string();
    let output = run(data.path(), &["check", "--json", &name]);
    assert_eq!(output.status.code(), Some(1));
    let object = object(&output);
    assert_eq!(object["files"][0], name);
    let fault = &object["faults"][0];
    assert_eq!(fault["line"], 7);
    assert_eq!(fault["key"], "tool[1].flutes");
    assert_eq!(fault["wrong"], "is 0");
    assert_eq!(fault["allowed"], "Write a whole number from 1 to 60.");
}

#[test]
fn nothing_hidden_reaches_the_terminal_or_the_object() {
    let data = tempfile::tempdir().unwrap();
    let path = data.path().join("x.toml");
    let hostile = TOOL.replace("My mill", "My\u{202e}\u{200b}mill");
    let broken = "[[tool]]\nname = \"b\u{feff}\n# \u{9b}31m\n";
    fs::write(&path, hostile + broken).unwrap();
    let name = path.display().to_string();
    for arguments in [vec!["check", &*name], vec!["check", "--json", &*name]] {
        let output = run(data.path(), &arguments);
        assert_eq!(output.status.code(), Some(1));
        let shown = text(&output.stdout);
        let hidden = shown
            .chars()
            .find(|c| *c != '\n' && millside::plain::is_hidden(*c));
        assert_eq!(hidden, None, "{shown}");
        assert!(shown.contains("U+202E"), "{shown}");
    }
}

#[test]
fn a_shipped_profile_is_printed_as_a_file_that_checks_out() {
    let data = tempfile::tempdir().unwrap();
    let output = run(data.path(), &["show", "steel-c45", "--toml"]);
    assert_eq!(output.status.code(), Some(0));
    let body = text(&output.stdout);
    assert!(body.starts_with("format = 1\n"), "{body}");
    assert_eq!(body.matches("[[material]]").count(), 1, "{body}");
    own_tool(data.path(), "mine.toml", &body);
    let listed = text(&run(data.path(), &["list"]).stdout);
    assert!(
        listed.contains("Medium carbon steel C45  (own, in place of the shipped one)"),
        "{listed}"
    );
}

#[test]
fn equal_titles_are_told_with_both_files() {
    let data = tempfile::tempdir().unwrap();
    let shipped = text(&run(data.path(), &["show", "bench-mill", "--toml"]).stdout);
    let folder = data.path().join("millside/profiles/machines");
    fs::create_dir_all(&folder).expect("folder is made");
    let own = shipped.replace("name = \"bench-mill\"", "name = \"my-mill\"");
    fs::write(folder.join("mine.toml"), own).expect("file is written");
    own_tool(data.path(), "mine.toml", TOOL);
    own_tool(
        data.path(),
        "other.toml",
        &TOOL
            .replace("my-mill", "my-other")
            .replace("My mill", "my MILL"),
    );
    let output = run(data.path(), &["check"]);
    let shown = text(&output.stdout);
    assert_eq!(output.status.code(), Some(0), "they are in use: {shown}");
    for word in [
        "warning: two machines have the title \"",
        "  bench-mill, profiles/machines/bench-mill.toml:",
        "  my-mill, ",
        "machines/mine.toml:",
        "warning: two tools have the title \"my MILL\"",
        "tools/mine.toml:2",
        "tools/other.toml:2",
        "help: Give one of them another title",
        "no faults",
    ] {
        assert!(shown.contains(word), "{word} in\n{shown}");
    }
    let object = object(&run(data.path(), &["check", "--json"]));
    assert_eq!(object["equal_titles"][0]["kind"], "machine");
    assert_eq!(object["equal_titles"][0]["profiles"][1]["name"], "my-mill");
    assert_eq!(object["equal_titles"][1]["kind"], "tool");
}

#[test]
fn a_designation_of_two_materials_names_neither() {
    let data = tempfile::tempdir().unwrap();
    let shipped = text(&run(data.path(), &["show", "al-6061-t6", "--toml"]).stdout);
    let folder = data.path().join("millside/profiles/materials");
    fs::create_dir_all(&folder).expect("folder is made");
    let own = shipped.replace("name = \"al-6061-t6\"", "name = \"my-6061\"");
    fs::write(folder.join("mine.toml"), own).expect("file is written");
    let recipe = |material: &str| {
        Command::new(env!("CARGO_BIN_EXE_millside"))
            .args([
                "recipe",
                "--machine",
                "bench-mill",
                "--tool",
                "em-6-1f",
                "--cut",
                "slot",
            ])
            .args(["--material", material])
            .env("XDG_DATA_HOME", data.path())
            .output()
            .expect("the program starts")
    };
    let output = recipe("6061");
    assert_eq!(output.status.code(), Some(2), "{output:?}");
    let said = text(&output.stderr);
    assert!(
        said.contains("Name one of them: al-6061-t6, my-6061."),
        "{said}"
    );
    assert_ne!(recipe("my-6061").status.code(), Some(2));
}
