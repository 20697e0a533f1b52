//! Stock, holding, zero, tool and Z.

use crate::app::act::Act;
use crate::app::care;
use crate::app::field;
use crate::app::field::Field;
use crate::app::field::MOST_SCREWS;
use crate::app::field::Takes;
use crate::app::form;
use crate::app::model::Model;
use crate::app::named;
use crate::app::page::field_row;
use crate::app::page::finish;
use crate::app::page::list_rows;
use crate::app::readable;
use crate::app::row::Mark;
use crate::app::row::Row;
use crate::app::z_ways;
use crate::job::conditions::KEYS;
use crate::job::holding::HEADS_UNKNOWN;
use crate::job::holding::HeldBy;
use crate::job::holding::Holding;
use crate::job::reference::FoundBy;
use crate::job::stock::Under;
use crate::job::typed::plain;
use crate::measure::backlash;
use crate::measure::backlash::Axis;
use crate::measure::touch;
use crate::session;
use crate::session::bond;
use crate::session::care_log;
use crate::session::care_log::Backlash;
use crate::session::fact::FactKind;
use crate::session::fact::FactState;
use crate::session::gate;
use crate::session::gate::ListKind;
use crate::session::known;
use crate::session::state::State;
use crate::session::state::Step;

pub(in crate::app) fn stock(model: &Model, state: &State) -> Vec<Row> {
    let held = state.current_setup().stock.as_ref();
    let of = |field: Field| -> Option<String> {
        let stock = held?;
        Some(match field {
            Field::StockX => stock.x.text.clone(),
            Field::StockY => stock.y.text.clone(),
            Field::Thickness(corner) => stock.thickness.get(corner)?.text.clone(),
            Field::Edges => stock.edges.word().to_owned(),
            Field::Under => match stock.under {
                Under::Unknown => return None,
                under => under.word().to_owned(),
            },
            Field::Spoil => match stock.under {
                Under::Spoil { thickness_mm } => format!("{} mm", plain(thickness_mm)),
                _ => return None,
            },
            Field::AboveJaws => stock.above_jaws.as_ref()?.text.clone(),
            Field::Part(axis) => stock.part.as_ref()?.get(axis)?.text.clone(),
            _ => return None,
        })
    };
    let mut rows = vec![Row::Head("THE BLANK AS MEASURED".to_owned())];
    rows.extend(doubt(state, FactKind::Stock));
    let mut fields = vec![Field::StockX, Field::StockY];
    fields.extend((0..4).map(Field::Thickness));
    fields.extend([Field::Edges, Field::Under, Field::Spoil, Field::AboveJaws]);
    fields.extend((0..3).map(Field::Part));
    rows.extend(
        fields
            .into_iter()
            .map(|field| field_row(model, field, of(field))),
    );
    if let Some(stock) = held {
        rows.push(Row::Text(format!(
            "Greatest thickness {} mm sets the first pass, least {} mm the depth through.",
            plain(stock.greatest_mm()),
            plain(stock.least_mm())
        )));
        if let Some([x, y, z]) = &stock.part {
            let short: Vec<&str> = [
                (x.value > stock.x.value, "X"),
                (y.value > stock.y.value, "Y"),
                (z.value > stock.least_mm(), "Z"),
            ]
            .into_iter()
            .filter_map(|(is_short, axis)| is_short.then_some(axis))
            .collect();
            if !short.is_empty() {
                rows.push(Row::Text(format!(
                    "The part does not fit: the blank is too small in {}.",
                    short.join(" and ")
                )));
            }
        }
    }
    let stock_waits = held.is_some() && !state.fact(FactKind::Stock).is_good();
    let keep = keep_row(
        model,
        &rows,
        Field::StockX,
        stock_waits,
        "as measured: take these",
    );
    rows.extend(keep);
    rows
}

/// A caution that the person's profiles leave out, by its sentence where it is still known; the record names it.
fn left_out_words(state: &State, left_out: &str) -> String {
    let (id, why) = left_out.split_once(": ").unwrap_or((left_out, ""));
    match state.cautions.iter().find(|caution| caution.id == id) {
        Some(caution) => format!(
            "LEFT OUT by your profiles: \"{}\". Why: {why}",
            caution.line
        ),
        None => format!("LEFT OUT by your profiles: {left_out}"),
    }
}

pub(in crate::app) fn hold(model: &Model, state: &State) -> Vec<Row> {
    let held = state.current_setup().holding.as_ref();
    let mut rows = questions(model, state);
    rows.extend(letters(model));
    rows.extend(
        care_log::much_greater(state, model.care_entries())
            .into_iter()
            .map(Row::Text),
    );
    let last = state.answers.latest();
    if let Some(left) = state.left_open.last().filter(|left| last <= Some(left.at)) {
        rows.push(Row::Text(left.text.clone()));
    }
    for left_out in &state.left_out {
        rows.push(Row::Text(left_out_words(state, left_out)));
    }
    rows.extend(list_rows(model, state, ListKind::Power));
    rows.push(Row::Gap);
    rows.push(Row::Head("HOLDING".to_owned()));
    rows.extend(doubt(state, FactKind::Held));
    let plan = &state.current_setup().plan;
    if !plan.is_empty() {
        rows.push(Row::Text(format!("Plan: {plan}")));
    }
    rows.push(field_row(
        model,
        Field::HeldBy,
        held.map(|h| h.by.word().to_owned()),
    ));
    let out_of_true = held
        .and_then(|h| h.out_of_true.as_ref())
        .map(|t| t.text.clone());
    rows.push(field_row(model, Field::OutOfTrue, out_of_true));
    let by = model
        .drafts
        .get(&Field::HeldBy)
        .cloned()
        .or_else(|| held.map(|h| h.by.word().to_owned()));
    if by
        .and_then(|word| HeldBy::from_word(&word))
        .is_some_and(HeldBy::is_bond)
    {
        let pull = held
            .and_then(|h| h.pull_n)
            .map(|pull| format!("{} N", plain(pull)));
        rows.push(field_row(model, Field::HoldPull, pull));
        let rest = held.and_then(|h| h.rest_after_s).map(|s| plain(s / 60.0));
        rows.push(field_row(model, Field::RestAfter, rest));
        rows.extend(bond::words(state).map(Row::Text));
    }
    let drafted = (0..4)
        .filter(|place| model.drafts.contains_key(&Field::KeepOut(*place)))
        .count();
    let shown = held.map_or(0, |h| h.keep_outs.len()).max(drafted);
    for place in 0..(shown + 1).min(4) {
        let text = held.and_then(|h| h.keep_outs.get(place)).map(|k| {
            let [x0, y0] = k.from.map(plain);
            let [x1, y1] = k.to.map(plain);
            format!("{x0} {y0} {x1} {y1} {}", plain(k.height))
        });
        rows.push(field_row(model, Field::KeepOut(place), text));
    }
    rows.extend(screw_rows(model, held));
    let keep = keep_row(
        model,
        &rows,
        Field::HeldBy,
        false,
        "held like this: take these",
    );
    rows.extend(keep);
    rows.extend(tight_row(state));
    rows.push(Row::Text(
        "A keep-out: from the left front bottom of the blank, X Y to X Y, height.".to_owned(),
    ));
    rows.push(Row::Gap);
    rows.extend(list_rows(model, state, ListKind::Setup));
    rows.extend(said(model, state));
    rows
}

/// The heads of the screws, where screws hold the part.
fn screw_rows(model: &Model, held: Option<&Holding>) -> Vec<Row> {
    let by = model
        .drafts
        .get(&Field::HeldBy)
        .cloned()
        .or_else(|| held.map(|h| h.by.word().to_owned()));
    if by.and_then(|word| HeldBy::from_word(&word)) != Some(HeldBy::Screws) {
        return vec![];
    }
    let stated = held.map_or(&[][..], |held| &held.screws);
    let mut rows: Vec<Row> = (0..(stated.len() + 1).min(MOST_SCREWS))
        .map(|place| {
            let text = stated.get(place).map(|head| {
                let [x, y] = head.at.map(plain);
                format!("{x} {y} {} {}", plain(head.diameter), plain(head.height))
            });
            field_row(model, Field::Screw(place), text)
        })
        .collect();
    let words = if held.is_some_and(Holding::heads_unknown) {
        HEADS_UNKNOWN
    } else {
        "A screw head: X Y of its middle from the left front corner, then M5, or diameter and height above the blank."
    };
    rows.push(Row::Text(words.to_owned()));
    rows
}

/// What was said of machine and shop, in reach as long as the lists depend on it.
fn said(model: &Model, state: &State) -> Vec<Row> {
    let mut rows = vec![];
    let here = KEYS.iter().enumerate();
    for (place, key) in here.filter(|(_, key)| known::is_asked_here(key.name)) {
        let Some(value) = state.stated.get(key.name) else {
            continue;
        };
        if rows.is_empty() {
            rows.push(Row::Gap);
            rows.push(Row::Head("SAID OF MACHINE AND SHOP".to_owned()));
        }
        rows.push(field_row(
            model,
            Field::Condition(place),
            // As the choices have it.
            Some(value.to_string().replace('_', " ")),
        ));
    }
    rows
}

/// Where it is made good that the part is held, once that is doubtful: with the list before a cut, where one look answers it and
/// nothing comes between the look and the start.
fn tight_row(state: &State) -> Option<Row> {
    let is_cut = state
        .current_operation()
        .is_some_and(|operation| operation.kind.is_cut() && !operation.progress.is_done());
    let is_doubtful = state.fact(FactKind::Held).word() == "redo";
    if !is_doubtful || state.current_setup().holding.is_none() {
        return None;
    }
    let text = "that it is tight is answered in the list before the cut";
    Some(if is_cut {
        Row::Do {
            act: Act::GoTo(Step::Cut),
            text: format!("{text}: Enter goes there"),
            mark: Mark::Redo,
        }
    } else {
        Row::Text(format!("Before the next cut: {text}."))
    })
}

/// What nobody has said of machine and shop yet: until then the lines that depend on it are shown.
fn questions(model: &Model, state: &State) -> Vec<Row> {
    let open = known::questions(state);
    if open.is_empty() {
        return vec![];
    }
    let mut rows = vec![Row::Head(
        "MACHINE AND SHOP, asked once; it shortens the lists".to_owned(),
    )];
    for key in open {
        let Some(place) = KEYS.iter().position(|known| known.name == key.name) else {
            continue;
        };
        rows.push(Row::Text(key.question.to_owned()));
        rows.push(field_row(model, Field::Condition(place), None));
    }
    rows.push(Row::Gap);
    rows
}

/// Whether the big letters of the running view can be read, as long as nobody said so in a window of this size.
fn letters(model: &Model) -> Option<Row> {
    let text = match readable::said(model) {
        Some(letters) if letters.are_read() => return None,
        Some(_) => "the big letters were NOT READ from where you stand: a larger font",
        None => "Enter shows the big letters: can you read them where you stand?",
    };
    Some(Row::Do {
        act: Act::ShowLetters,
        text: text.to_owned(),
        mark: Mark::Optional,
    })
}

/// After a stall: which axis is set again, and which are proved.
fn stalled(state: &State) -> Option<Row> {
    let axes = session::stalled(state)?;
    Some(Row::Text(axes.what_to_do().to_owned()))
}

pub(in crate::app) fn xy(model: &Model, state: &State) -> Vec<Row> {
    let setup = state.current_setup();
    let zero = setup.zero.as_ref();
    let mut rows = vec![Row::Head("WHERE X0 Y0 Z0 OF THE PROGRAM LIES".to_owned())];
    rows.extend(doubt(state, FactKind::XyZero));
    rows.push(field_row(
        model,
        Field::ZeroPoint,
        zero.map(|z| z.point.keypad()),
    ));
    rows.push(field_row(
        model,
        Field::FoundBy,
        zero.map(|z| z.found_by.word().to_owned()),
    ));
    rows.push(field_row(
        model,
        Field::Finder,
        zero.map(|z| z.finder.text.clone()),
    ));
    rows.push(field_row(
        model,
        Field::Offset,
        zero.map(|z| z.offset.clone()),
    ));
    let keep = keep_row(
        model,
        &rows,
        Field::ZeroPoint,
        false,
        "zero lies there: take these",
    );
    rows.extend(keep);
    if let (Some(zero), Some(stock)) = (zero, &setup.stock) {
        rows.push(Row::Gap);
        rows.push(Row::Head("TOUCHES, AND WHAT TO SET".to_owned()));
        if zero.found_by == FoundBy::Bore {
            rows.push(Row::Text(
                "Centre the bore in X and in Y, then set both to 0.".to_owned(),
            ));
        } else {
            for sum in touch::sums(zero.point, stock.size(), zero.finder.value) {
                let axis = Axis::from_word(&sum.axis.to_string()).unwrap_or(Axis::X);
                let used = care_log::backlash(state, model.care_entries(), axis);
                rows.push(Row::Text(sum.words(used.mm)));
            }
            rows.push(Row::Text(taken_up(model, state)));
        }
    }
    rows.push(Row::Gap);
    rows.extend(stalled(state));
    rows.push(act_row(
        state,
        FactKind::XyZero,
        Act::XySet,
        "X and Y are set at the machine",
    ));
    // Before a zero was ever set there is none to return to.
    let xy = state.fact(FactKind::XyZero);
    if xy.word() == "redo" || xy.is_good() && state.phase().is_some() {
        rows.push(Row::Do {
            act: Act::ReturnTest,
            text: "return test at the check point".to_owned(),
            mark: Mark::Optional,
        });
    }
    rows.extend(care_row(model, state));
    if let Some(checked) = model.work.as_ref().and_then(|work| work.checked.as_ref()) {
        rows.extend(checked.zero.iter().cloned().map(Row::Text));
        if !checked.check_points.is_empty() {
            rows.push(Row::Text(
                if state.fact(FactKind::ToolLength).is_good() {
                    "Then jog to these, spindle off: 1 it is there, 3 it is not."
                } else {
                    "Once a tool and its Z are set, jog to these, spindle off: 1 it is there, 3 it is not."
                }
                .to_owned(),
            ));
        }
        rows.extend(checked.check_points.iter().map(|point| Row::Do {
            act: Act::PointSeen(point.clone()),
            text: point.clone(),
            mark: if state.is_point_seen(point) {
                Mark::Good
            } else {
                Mark::Optional
            },
        }));
    }
    rows.extend(opposite_touches(model, state));
    rows
}

/// From where the edges are come on to, and what backlash that leaves out of the sum.
fn taken_up(model: &Model, state: &State) -> String {
    let [x, y] = Axis::ALL.map(|axis| care_log::backlash(state, model.care_entries(), axis));
    let of = if x.read.is_none() && y.read.is_none() {
        format!("of {} mm", plain(x.mm))
    } else {
        let say = |axis: &str, used: &Backlash| {
            format!("of {axis} {} mm ({})", plain(used.mm), used.from())
        };
        format!("{} and {}", say("X", &x), say("Y", &y))
    };
    format!("Come on to each edge from the outside only; backlash {of} stays taken up.")
}

/// Leads to return tests and backlash readings, where there are some.
pub(super) fn care_row(model: &Model, state: &State) -> Option<Row> {
    care::summary(model, state).map(|text| Row::Do {
        act: Act::CareLog,
        text,
        mark: Mark::Optional,
    })
}

/// A reading that is far from what the sheet expects is asked again, unless the other edge was read and both lie as far apart as they
/// must: then the zero was another one.
fn far_off(model: &Model, state: &State, axis: Axis, at: usize) -> Option<String> {
    let setup = state.current_setup();
    let (zero, stock) = (setup.zero.as_ref()?, setup.stock.as_ref()?);
    let typed = |at: usize| {
        let text = model.drafts.get(&Field::TouchAt(at))?;
        let understood = field::understand(&Takes::SignedLength, text).ok()?;
        understood.number().map(|typed| typed.value)
    };
    let expected = touch::reads(axis, zero.point, stock.size(), zero.finder.value);
    let (place, other) = (at % 2, at ^ 1);
    let off = typed(at)? - expected[place];
    let is_far = |off: f64| off.abs() > backlash::MOST_MM;
    let is_moved = typed(other).is_some_and(|read| !is_far(read - expected[1 - place] - off));
    (is_far(off) && !is_moved).then(|| {
        format!(
            "the sheet has {} mm there: read it again?",
            plain(expected[place])
        )
    })
}

/// Both edges of an axis touched from outside: what the backlash is, beside the machine's.
fn opposite_touches(model: &Model, state: &State) -> Vec<Row> {
    let setup = state.current_setup();
    let by_edges = setup
        .zero
        .as_ref()
        .is_some_and(|zero| zero.found_by != FoundBy::Bore);
    if !by_edges || setup.stock.is_none() {
        return vec![];
    }
    let mut rows = vec![
        Row::Gap,
        Row::Head("BACKLASH, if you touch both edges from outside".to_owned()),
    ];
    for axis in Axis::ALL {
        let first = axis as usize * 2;
        rows.extend([first, first + 1].map(|at| {
            let mut row = field_row(model, Field::TouchAt(at), None);
            if let Some(asked) = far_off(model, state, axis, at)
                && let Row::Field { note, mark, .. } = &mut row
            {
                (*note, *mark) = (asked, Mark::Redo);
            }
            row
        }));
        let last = state
            .backlash
            .iter()
            .rfind(|read| read.touches.axis == axis);
        if let Some(last) = last {
            rows.extend(care::backlash(state, last).map(Row::Text));
        }
    }
    rows.extend(
        care_log::trend_of_backlash(&care::log(model, state))
            .into_iter()
            .map(Row::Text),
    );
    rows
}

pub(in crate::app) fn tool(model: &Model, state: &State) -> Vec<Row> {
    let rack = state.planned_tool().and_then(|index| state.rack.get(index));
    let operation = state
        .current_operation()
        .map_or("none", |o| o.title.as_str());
    let mut rows = finish::due_rows(state);
    rows.push(Row::Head(format!("TOOL FOR {operation}")));
    rows.extend(doubt(state, FactKind::ToolIn));
    rows.push(field_row(
        model,
        Field::Tool,
        rack.and_then(|rack| named::tool_label(model, &rack.tool.name)),
    ));
    let stick_out = rack.map(|r| {
        r.stick_out.as_ref().map_or_else(
            || format!("{} mm", plain(r.tool.stick_out_mm)),
            |t| t.text.clone(),
        )
    });
    rows.push(field_row(model, Field::StickOut, stick_out));
    rows.extend(speed_rating(model, state));
    let kind = state.current_operation().map(|o| o.kind.word().to_owned());
    rows.push(field_row(model, Field::OperationKind, kind));
    if let Some(remark) = state
        .current_operation()
        .map(|o| &o.remark)
        .filter(|r| !r.is_empty())
    {
        rows.push(Row::Text(remark.clone()));
    }
    rows.push(Row::Gap);
    let mut lines: Vec<Row> = gate::list(state, ListKind::Start)
        .lines
        .into_iter()
        .filter(|line| line.is_at_spindle)
        .map(|line| Row::Line(ListKind::Start, line))
        .collect();
    let fit = state
        .planned_tool()
        .filter(|index| state.in_spindle != Some(*index));
    let seat = lines
        .iter()
        .position(|row| matches!(row, Row::Line(_, line) if line.fact == Some(FactKind::ToolIn)));
    if fit.is_some() {
        let text = match state.in_spindle.and_then(|index| state.rack.get(index)) {
            Some(old) => format!("{} comes out, this tool goes in", old.tool.title),
            None => "this tool goes in".to_owned(),
        };
        let row = Row::Do {
            act: Act::Fit,
            text,
            mark: Mark::Open,
        };
        let place = seat.unwrap_or(lines.len());
        lines.insert(place, row);
    }
    rows.extend(lines);
    rows
}

/// The speed rating of the planned tool, where it has one or must not turn without.
pub(super) fn speed_rating(model: &Model, state: &State) -> Option<Row> {
    let rack = state
        .planned_tool()
        .and_then(|index| state.rack.get(index))?;
    let rating = rack.tool.speed_rating_rpm();
    if rating.is_none() && !rack.tool.lacks_speed_rating() {
        return None;
    }
    let text = rating.map(|rating| format!("{rating:.0} rpm"));
    let mut row = field_row(model, Field::SpeedRating, text);
    if let Row::Field { note, .. } = &mut row
        && rating.is_some()
        && note.is_empty()
    {
        "the lowest of cutter, arbor and holder".clone_into(note);
    }
    Some(row)
}

pub(in crate::app) fn z(model: &Model, state: &State) -> Vec<Row> {
    let reference = state.current_setup().z_reference.as_ref();
    let mut rows = vec![Row::Head("WHAT Z IS SET TO".to_owned())];
    rows.extend(doubt(state, FactKind::ZReference));
    rows.extend(stalled(state));
    rows.push(field_row(
        model,
        Field::Surface,
        reference.map(|z| z.surface.word().to_owned()),
    ));
    if form::surface(model, state).is_some_and(|surface| form::is_z0(state, surface)) {
        rows.push(Row::Text(
            "The stock top is Z0: its height is 0.".to_owned(),
        ));
    } else {
        rows.push(field_row(
            model,
            Field::Height,
            reference.map(|z| z.height.text.clone()),
        ));
    }
    rows.push(field_row(
        model,
        Field::Shim,
        reference.map(|z| z.shim.text.clone()),
    ));
    let keep = keep_row(
        model,
        &rows,
        Field::Surface,
        false,
        "set to it like this: take these",
    );
    rows.extend(keep);
    rows.extend(unlike_blank(state).map(Row::Text));
    rows.extend(z_ways::rows(state));
    rows.push(Row::Gap);
    rows.push(Row::Head("Z WITH THIS TOOL".to_owned()));
    if let Some(raised) = &state.current_setup().raised {
        rows.push(Row::Text(format!(
            "Z is raised by {} for the air run: put it back at air first.",
            raised.text
        )));
    }
    if !state.fact(FactKind::ZReference).is_good() && reference.is_some() {
        rows.push(Row::Do {
            act: Act::ReferenceSet,
            text: "the reference is as stated and set again".to_owned(),
            mark: Mark::Redo,
        });
    }
    rows.extend(doubt(state, FactKind::ToolLength));
    if let Some(reference) = reference {
        let (height, shim) = (reference.height.value, reference.shim.value);
        if let Some([x, y]) = reference.at {
            rows.push(Row::Text(format!(
                "Touch off at X {} Y {}: beside it the {} is cut.",
                plain(x),
                plain(y),
                reference.surface.word()
            )));
        }
        rows.push(Row::Text(format!(
            "Spindle off. Bring the tool down until {} mm of shim or paper just grips, \
             set Z there to {} + {} = {} mm, then read.",
            plain(shim),
            plain(height),
            plain(shim),
            plain(reference.touch_reading_mm())
        )));
    }
    let reading = match state.fact(FactKind::ToolLength) {
        FactState::Good { value, .. } => value,
        _ => None,
    };
    rows.push(field_row(model, Field::Touch, reading));
    rows
}

/// A height that the blank as measured does not give is a slip of thickness, sign or surface.
fn unlike_blank(state: &State) -> Option<String> {
    /// What callipers and paper leave, in mm; common practice, no source.
    const ALLOWED_MM: f64 = 0.2;
    let setup = state.current_setup();
    let reference = setup.z_reference.as_ref()?;
    let stock = setup.stock.as_ref()?;
    let lies = reference.by_blank_mm(setup.zero.as_ref()?.point, stock)?;
    if (reference.height.value - lies).abs() <= ALLOWED_MM {
        return None;
    }
    Some(format!(
        "LOOK: by the blank, {} mm at its thickest, the {} lies at {} mm from Z0, not at {}. One of the two is wrong.",
        plain(stock.greatest_mm()),
        reference.surface.word(),
        plain(lies),
        reference.height.text
    ))
}

/// Why a fact is doubtful, as a row.
pub(super) fn doubt(state: &State, kind: FactKind) -> Option<Row> {
    match state.fact(kind) {
        FactState::Redo { since, what } => Some(Row::Text(format!(
            "REDO: {} {}.",
            since.format("%H:%M"),
            what.row().words
        ))),
        _ => None,
    }
}

/// A row that makes a fact good when it is done.
fn act_row(state: &State, kind: FactKind, act: Act, text: &str) -> Row {
    let (mark, text) = match state.fact(kind) {
        FactState::Good { since, .. } => (
            Mark::Good,
            format!("{text}   since {}", since.format("%H:%M")),
        ),
        FactState::Redo { .. } => (Mark::Redo, format!("{text}   REDO")),
        FactState::Open => (Mark::Open, text.to_owned()),
    };
    Row::Do { act, text, mark }
}

/// Takes a form as it stands, when something in it is filled in and not taken yet.
fn keep_row(model: &Model, rows: &[Row], form: Field, waits: bool, text: &str) -> Option<Row> {
    let is_drafted = rows
        .iter()
        .any(|row| matches!(row, Row::Field { field, .. } if model.drafts.contains_key(field)));
    (is_drafted || waits).then(|| Row::Do {
        act: Act::TakeForm(form),
        text: text.to_owned(),
        mark: Mark::Open,
    })
}
