//! What the options of `check` and `time` mean.

use crate::check::against::ToolFacts;
use crate::job::head;
use crate::job::holding::KeepOut;
use crate::job::holding::ScrewHead;
use crate::job::stock::StockSize;
use crate::job::stock::Under;
use crate::job::tool::Kind;
use crate::job::zero::NotAZeroPoint;
use crate::job::zero::ZeroPoint;
use crate::quantity::entry;
use crate::quantity::to_mm;
use crate::quantity::to_rpm;

/// A size such as `120x90x12mm`: three lengths, the last unit for those without one.
///
/// # Errors
///
/// Says what was wrong.
pub fn size(text: &str) -> Result<StockSize, String> {
    let parts: Vec<&str> = text.split(['x', 'X', '*']).map(str::trim).collect();
    let [x, y, z] = parts.as_slice() else {
        return Err("write three lengths, such as 120x90x12mm".to_owned());
    };
    let unit = unit_of(z);
    let length = |part: &str| -> Result<f64, String> {
        let text = if unit_of(part).is_empty() {
            format!("{part}{unit}")
        } else {
            part.to_owned()
        };
        entry::length_positive(&text)
            .map(|e| to_mm(e.value))
            .map_err(|e| e.to_string())
    };
    Ok(StockSize {
        x_mm: length(x)?,
        y_mm: length(y)?,
        z_mm: length(z)?,
    })
}

/// The unit at the end of a length as typed.
fn unit_of(text: &str) -> &str {
    let at = text
        .char_indices()
        .rev()
        .take_while(|(_, c)| c.is_alphabetic() || *c == '"')
        .last()
        .map_or(text.len(), |(i, _)| i);
    &text[at..]
}

/// What lies under the blank.
///
/// # Errors
///
/// Says what is allowed.
pub fn under(text: &str) -> Result<Under, String> {
    let lower = text.trim().to_ascii_lowercase();
    if let Some(thickness) = lower.strip_prefix("spoil:") {
        let thickness_mm = entry::length_positive(thickness)
            .map(|e| to_mm(e.value))
            .map_err(|e| e.to_string())?;
        return Ok(Under::Spoil { thickness_mm });
    }
    match lower.as_str() {
        "parallels" => Ok(Under::Parallels),
        "jaw" => Ok(Under::Jaw),
        "table" => Ok(Under::Table),
        "air" => Ok(Under::Air),
        _ => Err("write spoil:6mm, parallels, jaw, table or air".to_owned()),
    }
}

/// The zero as stated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct StatedZero {
    /// The point.
    pub point: ZeroPoint,
    /// Whether it is one of the finished part.
    pub is_on_part: bool,
}

/// A point of the blank, such as `5+`, or of the finished part, such as `part:5+`.
///
/// # Errors
///
/// Says what is allowed.
pub fn zero(text: &str) -> Result<StatedZero, String> {
    let (is_on_part, name) = match text.trim().split_once(':') {
        Some(("part", name)) => (true, name),
        Some(("blank", name)) => (false, name),
        _ => (false, text),
    };
    let point = name.parse().map_err(|e: NotAZeroPoint| e.to_string())?;
    Ok(StatedZero { point, is_on_part })
}

/// A place X,Y,Z; an empty part is not known.
///
/// # Errors
///
/// Says what was wrong.
pub fn point(text: &str) -> Result<[Option<f64>; 3], String> {
    let parts: Vec<&str> = text.split(',').map(str::trim).collect();
    let [x, y, z] = parts.as_slice() else {
        return Err("write three coordinates, such as 0,0,50".to_owned());
    };
    let coordinate = |part: &str| -> Result<Option<f64>, String> {
        if part.is_empty() || part == "?" {
            return Ok(None);
        }
        entry::length_signed(part)
            .map(|e| Some(to_mm(e.value)))
            .map_err(|e| e.to_string())
    };
    Ok([coordinate(x)?, coordinate(y)?, coordinate(z)?])
}

/// A keep-out X0,Y0,X1,Y1,HEIGHT from the left front bottom of the blank.
///
/// # Errors
///
/// Says what was wrong.
pub fn keep_out(text: &str) -> Result<KeepOut, String> {
    let parts: Vec<&str> = text.split(',').map(str::trim).collect();
    if parts.len() != 5 {
        return Err("write five lengths X0,Y0,X1,Y1,HEIGHT, such as 0,-20,30,15,25".to_owned());
    }
    let mut values = [0.0; 5];
    for (value, part) in values.iter_mut().zip(parts) {
        *value = entry::length_signed(part)
            .map(|e| to_mm(e.value))
            .map_err(|e| e.to_string())?;
    }
    let [x0, y0, x1, y1, height] = values;
    Ok(KeepOut {
        from: [x0.min(x1), y0.min(y1)],
        to: [x0.max(x1), y0.max(y1)],
        height,
    })
}

/// A screw as stated; none where its head is not known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StatedScrew(pub Option<ScrewHead>);

/// A screw X,Y,THREAD or X,Y,DIAMETER,HEIGHT; `?` where the heads are not known.
///
/// # Errors
///
/// Says what was wrong.
pub fn screw_or_unknown(text: &str) -> Result<StatedScrew, String> {
    if text.trim() == "?" {
        return Ok(StatedScrew(None));
    }
    let parts: Vec<&str> = text.split(',').map(str::trim).collect();
    head::understood(&parts).map(|head| StatedScrew(Some(head)))
}

/// A tool as stated: its number and either a profile's name or what is known of it.
#[derive(Clone, Debug, PartialEq)]
pub struct StatedTool {
    /// Tool number of the program.
    pub number: u32,
    /// As typed.
    pub text: String,
    /// What the words say; `None` when they may be the name of a profile.
    pub facts: Option<ToolFacts>,
}

/// A tool such as `1=end mill 6 mm 3 flutes stickout 22 mm`, or `1=` and the name of a profile.
///
/// # Errors
///
/// Says what was wrong.
pub fn tool(text: &str) -> Result<StatedTool, String> {
    const HOW: &str = "write for example 1=\"end mill 6 mm 3 flutes stickout 22 mm\"";
    let (number, words) = text.split_once('=').ok_or_else(|| HOW.to_owned())?;
    let number = number.trim().trim_start_matches(['T', 't']);
    let number: u32 = number
        .parse()
        .map_err(|_| format!("{number} is no tool number; {HOW}"))?;
    let words = words.trim().trim_matches('"');
    if words.is_empty() {
        return Err(HOW.to_owned());
    }
    let is_name = !words.contains(char::is_whitespace);
    Ok(StatedTool {
        number,
        text: words.to_owned(),
        facts: if is_name {
            None
        } else {
            Some(tool_facts(words)?)
        },
    })
}

/// What the words of a tool say: kind, diameter, `3 flutes`, `flute length 12 mm`, `stickout 22 mm`,
/// `shank 6 mm`, `not centre cutting`, `max 1500 rpm`.
fn tool_facts(words: &str) -> Result<ToolFacts, String> {
    let mut facts = ToolFacts {
        title: words.to_owned(),
        ..ToolFacts::default()
    };
    let mut rest = words.to_ascii_lowercase().replace(['-', ','], " ");
    for (mark, value) in [
        ("not centre cutting", false),
        ("centre cutting", true),
        ("center cutting", true),
    ] {
        if rest.contains(mark) {
            facts.centre_cutting = Some(value);
            rest = rest.replace(mark, " ");
        }
    }
    // Longer names first, so that "ball end mill" is not taken as an end mill.
    let mut kinds = Kind::ALL.map(|kind| (kind.word().replace('-', " "), kind));
    kinds.sort_by_key(|(word, _)| std::cmp::Reverse(word.len()));
    for (word, kind) in kinds {
        if rest.contains(&word) {
            facts.kind = Some(kind);
            facts.cuts_sideways = Some(kind.cuts_sideways());
            rest = rest.replace(&word, " ");
            break;
        }
    }
    let words: Vec<&str> = rest.split_whitespace().collect();
    let mut at = 0;
    while at < words.len() {
        let word = words[at];
        at += 1;
        if matches!(word, "max" | "rated" | "rating") {
            facts.speed_rating_rpm = Some(rating(&words, &mut at)?);
            continue;
        }
        let target = match word {
            "stickout" | "stick" => &mut facts.stick_out_mm,
            "shank" => &mut facts.shank_mm,
            "flute" => &mut facts.flute_length_mm,
            _ => {
                let is_count = words
                    .get(at)
                    .is_some_and(|next| matches!(*next, "flutes" | "flute"));
                if is_count && let Ok(flutes) = word.parse() {
                    facts.flutes = Some(flutes);
                    at += 1;
                    continue;
                }
                at -= 1;
                &mut facts.diameter_mm
            }
        };
        while words
            .get(at)
            .is_some_and(|next| matches!(*next, "out" | "length" | "of"))
        {
            at += 1;
        }
        let Some(value) = words.get(at) else {
            return Err(format!("no length follows {word}"));
        };
        at += 1;
        let mut typed = (*value).to_owned();
        if let Some(unit) = words
            .get(at)
            .filter(|unit| matches!(**unit, "mm" | "in" | "inch" | "thou"))
        {
            typed.push(' ');
            typed.push_str(unit);
            at += 1;
        }
        *target = Some(
            entry::length_positive(&typed)
                .map(|e| to_mm(e.value))
                .map_err(|e| format!("\"{typed}\" in the tool: {e}"))?,
        );
    }
    Ok(facts)
}

/// The rpm behind `max` or `rated`, as printed on cutter, arbor or holder; `at` is moved behind it.
fn rating(words: &[&str], at: &mut usize) -> Result<f64, String> {
    const HOW: &str = "write the speed rating of a tool as max 1500 rpm";
    let typed = words.get(*at).ok_or(HOW)?;
    *at += 1;
    if words.get(*at) == Some(&"rpm") {
        *at += 1;
    }
    entry::rpm(typed)
        .map(|e| to_rpm(e.value))
        .map_err(|e| format!("{HOW}: {e}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_size_takes_its_last_unit_for_all() {
        let mm = size("120x90x12mm").unwrap();
        assert_eq!((mm.x_mm, mm.y_mm, mm.z_mm), (120.0, 90.0, 12.0));
        assert_eq!(size("120x90x12").unwrap(), mm);
        let inch = size("5 x 4 x 1/2\"").unwrap();
        assert!((inch.x_mm - 127.0).abs() < 1e-9 && (inch.z_mm - 12.7).abs() < 1e-9);
        assert!(size("120x90").is_err());
        assert!(size("120x0x12mm").is_err());
        assert!(size("120xNaNx12mm").is_err());
    }

    #[test]
    fn what_lies_under_has_five_names() {
        assert_eq!(under("spoil:6mm"), Ok(Under::Spoil { thickness_mm: 6.0 }));
        assert_eq!(under("Jaw"), Ok(Under::Jaw));
        assert!(under("wood").is_err());
        assert!(under("spoil:").is_err());
    }

    #[test]
    fn a_tool_is_read_from_its_words() {
        let stated = tool("1=end mill 6 mm 3 flutes stickout 22 mm").unwrap();
        let facts = stated.facts.unwrap();
        assert_eq!(stated.number, 1);
        assert_eq!(facts.diameter_mm, Some(6.0));
        assert_eq!(facts.flutes, Some(3));
        assert_eq!(facts.stick_out_mm, Some(22.0));
        assert_eq!(facts.cuts_sideways, Some(true));
        assert_eq!(facts.centre_cutting, None);
        let drill = tool("T7=drill 3.3mm flute length 30 mm, shank 3 mm")
            .unwrap()
            .facts
            .unwrap();
        assert_eq!(drill.cuts_sideways, Some(false));
        assert_eq!(drill.flute_length_mm, Some(30.0));
        assert_eq!(drill.shank_mm, Some(3.0));
        let face = tool("2=face mill 1.5 in not centre cutting")
            .unwrap()
            .facts
            .unwrap();
        assert!((face.diameter_mm.unwrap() - 38.1).abs() < 1e-9);
        assert_eq!(face.centre_cutting, Some(false));
        assert_eq!(tool("3=em-6-3f").unwrap().facts, None);
        let rated = tool("1=flycutter 40 mm max 1500 rpm, stickout 35 mm");
        let rated = rated.unwrap().facts.unwrap();
        assert_eq!(rated.speed_rating_rpm, Some(1500.0));
        assert_eq!(
            (rated.diameter_mm, rated.stick_out_mm),
            (Some(40.0), Some(35.0))
        );
        assert!(tool("1=flycutter 40 mm max").is_err());
        for bad in [
            "end mill",
            "x=end mill 6 mm",
            "1=",
            "1=end mill six mm",
            "1=end mill -6 mm stickout",
        ] {
            assert!(tool(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn a_keep_out_has_five_lengths() {
        let clamp = keep_out("30,15,0,-20,25").unwrap();
        assert_eq!(
            (clamp.from, clamp.to, clamp.height),
            ([0.0, -20.0], [30.0, 15.0], 25.0)
        );
        assert!(keep_out("1,2,3,4").is_err());
        assert!(keep_out("1,2,3,4,inf").is_err());
    }

    #[test]
    fn an_axis_may_be_left_open() {
        assert_eq!(point("0,-1.5,"), Ok([Some(0.0), Some(-1.5), None]));
        assert!(point("1,2").is_err());
    }
}
