//! What is typed comes back: the text of an entry is read again as the same value and the same text.

use millside::quantity::entry::Entry;
use millside::quantity::entry::EntryError;
use millside::quantity::entry::duration;
use millside::quantity::entry::feed;
use millside::quantity::entry::length;
use millside::quantity::entry::length_signed;
use millside::quantity::entry::percent;
use millside::quantity::entry::power;
use millside::quantity::entry::rpm;
use millside::quantity::entry::speed;
use millside::quantity::inch;
use millside::quantity::mm;
use millside::quantity::show;
use millside::quantity::show::Units;
use millside::quantity::to_inch;
use millside::quantity::to_mm;
use proptest::prelude::*;

fn comes_back<Q: PartialEq + std::fmt::Debug>(
    read: impl Fn(&str) -> Result<Entry<Q>, EntryError>,
    text: &str,
) -> Result<(), TestCaseError> {
    if let Ok(entry) = read(text) {
        prop_assert_eq!(read(&entry.typed), Ok(entry));
    }
    Ok(())
}

/// Texts near to what people type, good and bad.
fn typed() -> impl Strategy<Value = String> {
    prop_oneof![
        "[-+]?[0-9]{0,4}[.,]?[0-9]{0,4} ?(mm|cm|um|in|\"|thou|ipm|rpm|k|sfm|%|W|kW|h|min|s|)",
        "[0-9]{1,2}[- ][0-9]{1,2}/[0-9]{1,3} ?(\"|in|mm)",
        "#[0-9]{1,3}",
        "[A-Za-z]",
        "[0-9]{1,2}(:[0-9]{2}){1,2}",
        "[0-9]{1,2}h ?[0-9]{1,2}m ?[0-9]{1,2}s",
        any::<String>(),
    ]
}

proptest! {
    #[test]
    fn an_entry_read_again_is_the_same_entry(text in typed()) {
        comes_back(length, &text)?;
        comes_back(length_signed, &text)?;
        comes_back(feed, &text)?;
        comes_back(speed, &text)?;
        comes_back(rpm, &text)?;
        comes_back(power, &text)?;
        comes_back(percent, &text)?;
        comes_back(duration, &text)?;
    }

    #[test]
    fn an_error_never_carries_a_control_character(text in any::<String>()) {
        if let Err(error) = length(&text) {
            prop_assert!(error.to_string().chars().all(|c| !c.is_control()));
            prop_assert!(error.to_string().contains("write for example"));
        }
    }

    #[test]
    fn millimetres_and_inches_round_trip(value in -1e4..1e4f64) {
        prop_assert!((to_inch(inch(value)) - value).abs() <= 1e-12 * value.abs().max(1.0));
        prop_assert!((to_mm(inch(value)) - 25.4 * value).abs() <= 1e-11 * value.abs().max(1.0));
        prop_assert!((to_inch(mm(25.4 * value)) - value).abs() <= 1e-12 * value.abs().max(1.0));
    }

    #[test]
    fn a_shown_length_is_read_as_what_was_shown(value in 0.0..9999.0f64) {
        let text = show::length(mm(value), Units::Metric);
        let entry = length(&text);
        prop_assert!(entry.is_ok(), "{}", text);
        if let Ok(entry) = entry {
            prop_assert!((to_mm(entry.value) - value).abs() <= 0.000_5 + 1e-9, "{text}");
            prop_assert_eq!(show::length(entry.value, Units::Metric), text);
        }
    }
}
