//! What the person said of the screen, as a file: TOML, one size of a window a line.

use toml::de::DeTable;

use crate::measure::legible::Letters;
use crate::measure::legible::Sizes;
use crate::record::FORMAT;
use crate::record::RecordError;
use crate::record::eye::Eye;
use crate::record::fault;
use crate::record::fault::Wrong;
use crate::record::fields::Fields;
use crate::record::fields::Took;
use crate::record::fields::of;
use crate::record::pen::Pen;
use crate::record::shape::amount;
use crate::record::shape::amount::Count;
use crate::record::shape::words;

/// Name of the file in the program's data folder.
pub const FILE: &str = "screen.toml";

/// Longest file that is read, in bytes.
pub const LONGEST: usize = 256 * 1024;

/// A window has no more columns or rows than this.
const MOST: Count = Count {
    least: 1,
    most: u16::MAX as u64,
};

type Size = ((u16, u16), Letters);

fn sizes<F: Fields>(f: &mut F, v: Option<&Vec<Size>>) -> Took<Vec<Size>> {
    let format: u32 = f.value("format", Some(&FORMAT), &amount::COUNT)?;
    if format != FORMAT {
        let wrong = Wrong::new(
            format!("is {format}"),
            format!("This program reads format {FORMAT}: open it with the program that wrote it."),
        );
        return Err(f.fault("format", wrong));
    }
    f.rows("windows", v.map(Vec::as_slice), |f, v| {
        let columns = f.value("columns", of!(v.0.0), &MOST)?;
        let rows = f.value("rows", of!(v.0.1), &MOST)?;
        let letters = f.value("letters", of!(v.1), &words!(Letters))?;
        Ok(((columns, rows), letters))
    })
}

/// The text of the file.
pub fn text(all: &Sizes) -> String {
    let mut pen = Pen::default();
    let all: Vec<Size> = all
        .iter()
        .map(|(size, letters)| (*size, *letters))
        .collect();
    sizes(&mut pen, Some(&all)).expect("the pen refuses nothing");
    pen.finish()
}

/// What the file says; the last line of a size holds.
///
/// # Errors
///
/// The first thing that is wrong, with its line and key.
pub fn read(raw: &[u8]) -> Result<Sizes, RecordError> {
    let text = fault::text(raw, LONGEST, "It has at most 256 KiB.", "It is UTF-8 text.")?;
    let table = DeTable::parse(text).map_err(|error| {
        RecordError::no_toml(
            text,
            &error,
            "Mend this line, or remove the file: you are asked again.",
        )
    })?;
    let mut eye = Eye::new(text, table.get_ref());
    let all = sizes(&mut eye, None)?;
    eye.finish()?;
    Ok(all.into_iter().collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_said_of_each_size_is_read_again() {
        let all = Sizes::from([
            ((80, 24), Letters::Neither),
            ((100, 30), Letters::Plain),
            ((160, 50), Letters::Doubled),
        ]);
        let text = text(&all);
        assert_eq!(read(text.as_bytes()).unwrap(), all);
        assert!(
            text.contains("columns = 160, rows = 50, letters = \"doubled\""),
            "{text}"
        );
        assert!(read(b"format = 1\n").unwrap().is_empty());
    }

    #[test]
    fn a_fault_has_its_line_and_key() {
        for (text, key, line) in [
            ("format = 2\n", "format", 1),
            (
                "format = 1\nwindows = [\n  { columns = 0, rows = 24, letters = \"plain\" },\n]\n",
                "columns",
                3,
            ),
            (
                "format = 1\nwindows = [\n  { columns = 80, rows = 24, letters = \"big\" },\n]\n",
                "letters",
                3,
            ),
            ("format = 1\ncolour = 1\n", "colour", 2),
        ] {
            let fault = read(text.as_bytes()).unwrap_err();
            assert!(fault.key.contains(key), "{text}: {fault}");
            assert_eq!(fault.line, line, "{text}: {fault}");
        }
        assert!(read(b"\xff").is_err() && read(b"format = ").is_err());
        assert!(read(&vec![b'#'; LONGEST + 1]).is_err());
    }
}
