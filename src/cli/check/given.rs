//! What the options of `check` and `time` mean.

use crate::job::stock::StockSize;
use crate::job::stock::Under;
use crate::quantity::entry;
use crate::quantity::to_mm;

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
    fn an_axis_may_be_left_open() {
        assert_eq!(point("0,-1.5,"), Ok([Some(0.0), Some(-1.5), None]));
        assert!(point("1,2").is_err());
    }
}
