//! From typed fields to events: a form takes effect as soon as all it needs is there.

use crate::app::field;
use crate::app::field::Field;
use crate::app::field::MOST_SCREWS;
use crate::app::field::Understood;
use crate::app::joining;
use crate::app::model::Model;
use crate::app::named;
use crate::app::page;
use crate::app::recipe;
use crate::app::row::Row;
use crate::job::conditions;
use crate::job::conditions::KEYS;
use crate::job::conditions::Value;
use crate::job::holding::HeldBy;
use crate::job::holding::Holding;
use crate::job::holding::KeepOut;
use crate::job::operation::Operation;
use crate::job::operation::OperationKind;
use crate::job::operation::Outcome;
use crate::job::reading::Of;
use crate::job::reading::Reading;
use crate::job::reference::FoundBy;
use crate::job::reference::Surface;
use crate::job::reference::ZReference;
use crate::job::reference::Zero;
use crate::job::stock::Edges;
use crate::job::stock::Stock;
use crate::job::stock::Under;
use crate::job::tool::Tool;
use crate::job::typed::Typed;
use crate::job::zero::Height;
use crate::measure::backlash::Axis;
use crate::program::code;
use crate::session::event::Event;
use crate::session::state::State;
use crate::session::state::Step;

/// Reads a field of the page that is shown: the draft, or what the session holds.
fn value(model: &Model, field: Field) -> Option<Understood> {
    let text = page::rows(model).into_iter().find_map(|row| match row {
        Row::Field {
            field: f, value, ..
        } if f == field && !value.is_empty() => Some(value),
        _ => None,
    })?;
    field::understand(&page::takes(model, field), &text).ok()
}

fn number_of(model: &Model, field: Field) -> Option<Typed> {
    value(model, field)?.number().cloned()
}

fn words(model: &Model, field: Field) -> Option<String> {
    value(model, field)?.words().map(str::to_owned)
}

/// The events that follow from a field just entered, on the page that is shown.
pub(super) fn events(model: &Model, entered: Field) -> Vec<Event> {
    let Some(state) = model.state() else {
        return vec![];
    };
    let event = match entered {
        Field::StockX
        | Field::StockY
        | Field::Thickness(_)
        | Field::Edges
        | Field::Under
        | Field::Spoil
        | Field::AboveJaws
        | Field::Part(_) => stock(model).map(|stock| Event::StockMeasured(Box::new(stock))),
        Field::HeldBy
        | Field::OutOfTrue
        | Field::HoldPull
        | Field::RestAfter
        | Field::KeepOut(_)
        | Field::Screw(_) => holding(model).map(|holding| Event::HoldingStated(Box::new(holding))),
        Field::Condition(place) => condition(model, place),
        Field::ZeroPoint | Field::FoundBy | Field::Finder | Field::Offset => {
            zero(model).map(|zero| Event::ZeroStated(Box::new(zero)))
        }
        Field::Tool | Field::StickOut => return tool(model, state, entered),
        Field::SpeedRating => return speed_rating(model, state),
        Field::OperationKind if state.step == Step::Tool => {
            let kind =
                words(model, Field::OperationKind).and_then(|w| OperationKind::from_word(&w));
            kind.zip(state.current_operation())
                .map(|(kind, operation)| {
                    let edited = Operation {
                        kind,
                        ..operation.clone()
                    };
                    Event::OperationEdited(state.operation, Box::new(edited))
                })
        }
        Field::Surface | Field::Height | Field::Shim => {
            reference(model).map(|reference| Event::ZReferenceSet(Box::new(reference)))
        }
        Field::Heard => match value(model, Field::Heard) {
            Some(Understood::Frequencies(all)) => Some(Event::Heard(all)),
            _ => None,
        },
        Field::ReadRpm => {
            number_of(model, Field::ReadRpm).map(|read| Event::SpeedRead(Some(read.value)))
        }
        Field::Pilot => number_of(model, Field::Pilot)
            .zip(state.current_operation())
            .map(|(hole, operation)| {
                let edited = Operation {
                    pilot: Some(hole).filter(|hole| hole.value > 0.0),
                    ..operation.clone()
                };
                Event::OperationEdited(state.operation, Box::new(edited))
            }),
        Field::Thread => match (value(model, Field::Thread), state.current_operation()) {
            (Some(Understood::Thread(size)), Some(operation)) => {
                let edited = Operation {
                    thread: Some(size),
                    ..operation.clone()
                };
                Some(Event::OperationEdited(state.operation, Box::new(edited)))
            }
            _ => None,
        },
        Field::TouchAt(place) => opposite(model, place),
        Field::Touch => number_of(model, Field::Touch).map(Event::LengthSet),
        Field::Raise => number_of(model, Field::Raise).map(Event::AirRunMade),
        Field::PutBack => number_of(model, Field::PutBack).map(Event::PutBack),
        Field::NoAir => words(model, Field::NoAir).map(Event::AirRunLeftOut),
        Field::Reading(place) => {
            number_of(model, entered).map(|actual| Event::Measured(place, actual))
        }
        Field::Gauge(place) => number_of(model, entered).and_then(|gauge| {
            let reading = state.current_setup().readings.get(place)?.clone();
            let stated = Reading {
                gauge: Some(gauge),
                ..reading
            };
            Some(Event::SizeStated(Some(place), Box::new(stated)))
        }),
        Field::Lines(place) => words(model, entered).and_then(|chosen| {
            let from = joining::place_of(state, &chosen)?;
            Some(Event::OperationJoined {
                operation: place,
                from,
            })
        }),
        Field::Rating(place) => match value(model, entered) {
            Some(Understood::Rating(rating, remark)) => {
                Some(Event::Rated(place, Outcome { rating, remark }))
            }
            _ => None,
        },
        _ => None,
    };
    event.into_iter().collect()
}

fn stock(model: &Model) -> Option<Stock> {
    let thickness: Vec<Typed> = (0..4)
        .filter_map(|corner| number_of(model, Field::Thickness(corner)))
        .collect();
    let edges = match words(model, Field::Edges)?.as_str() {
        "milled" => Edges::Milled,
        _ => Edges::Sawn,
    };
    let under = match words(model, Field::Under)?.as_str() {
        "spoil board" => Under::Spoil {
            thickness_mm: number_of(model, Field::Spoil)?.value,
        },
        "parallels" => Under::Parallels,
        "jaw" => Under::Jaw,
        "table" => Under::Table,
        "air" => Under::Air,
        _ => Under::Unknown,
    };
    let part = match (
        number_of(model, Field::Part(0)),
        number_of(model, Field::Part(1)),
        number_of(model, Field::Part(2)),
    ) {
        (Some(x), Some(y), Some(z)) => Some([x, y, z]),
        _ => None,
    };
    (!thickness.is_empty()).then_some(Stock {
        x: number_of(model, Field::StockX)?,
        y: number_of(model, Field::StockY)?,
        thickness,
        edges,
        under,
        above_jaws: number_of(model, Field::AboveJaws),
        part,
    })
}

fn holding(model: &Model) -> Option<Holding> {
    let keep_outs = (0..4)
        .filter_map(|place| match value(model, Field::KeepOut(place)) {
            Some(Understood::Box([x0, y0, x1, y1, height])) => Some(KeepOut {
                from: [x0, y0],
                to: [x1, y1],
                height,
            }),
            _ => None,
        })
        .collect();
    let by = HeldBy::from_word(&words(model, Field::HeldBy)?)?;
    Some(Holding {
        by,
        // What a bond stood says nothing of a vice.
        pull_n: number_of(model, Field::HoldPull)
            .map(|pull| pull.value)
            .filter(|pull| by.is_bond() && *pull > 0.0),
        rest_after_s: number_of(model, Field::RestAfter)
            .map(|minutes| minutes.value * 60.0)
            .filter(|s| by.is_bond() && *s > 0.0),
        out_of_true: number_of(model, Field::OutOfTrue),
        keep_outs,
        // Heads go with the screws: what holds it in another way has none.
        screws: (0..MOST_SCREWS)
            .filter(|_| by == HeldBy::Screws)
            .filter_map(|place| match value(model, Field::Screw(place)) {
                Some(Understood::Screw(head)) => Some(head),
                _ => None,
            })
            .collect(),
    })
}

fn condition(model: &Model, place: usize) -> Option<Event> {
    let key = KEYS.get(place)?;
    let stated = match (key.takes, value(model, Field::Condition(place))?) {
        (conditions::Takes::Truth, Understood::Words(word)) => Value::Truth(word == "yes"),
        (_, Understood::Words(word)) => Value::Word(word.replace(' ', "_")),
        (_, Understood::Number(number)) => Value::Number(number.value),
        _ => return None,
    };
    Some(Event::ConditionStated(key.name.to_owned(), stated))
}

fn zero(model: &Model) -> Option<Zero> {
    let Some(Understood::Point(point)) = value(model, Field::ZeroPoint) else {
        return None;
    };
    let found_by = FoundBy::from_word(&words(model, Field::FoundBy)?)?;
    let finder = match found_by {
        FoundBy::Bore => number_of(model, Field::Finder).unwrap_or(Typed::mm(0.0)),
        _ => number_of(model, Field::Finder)?,
    };
    let offset = offset_name(words(model, Field::Offset)?);
    Some(Zero {
        point,
        found_by,
        finder,
        offset,
    })
}

/// A number alone is that of a work offset: on a keypad there is no G.
fn offset_name(typed: String) -> String {
    match typed.trim().parse::<usize>() {
        Ok(number @ 1..=9) => code::system_name(number - 1).to_owned(),
        _ => typed,
    }
}

/// Both touches of an axis, once both are there.
fn opposite(model: &Model, place: usize) -> Option<Event> {
    let first = place / 2 * 2;
    let axis = *Axis::ALL.get(place / 2)?;
    let reads = |place| Some(number_of(model, Field::TouchAt(place))?.value);
    Some(Event::OppositeTouched {
        axis,
        reads_mm: [reads(first)?, reads(first + 1)?],
    })
}

/// Whether the surface is Z0 itself: the top of the blank, where the zero lies on it. Its height is 0 and asked of nobody.
pub(super) fn is_z0(state: &State, surface: Surface) -> bool {
    let zero = state.current_setup().zero.as_ref();
    surface == Surface::StockTop && zero.is_some_and(|zero| zero.point.height == Height::Top)
}

/// The surface that Z is to be set to: typed, else as the session holds it.
pub(super) fn surface(model: &Model, state: &State) -> Option<Surface> {
    let typed = model.drafts.get(&Field::Surface).and_then(|text| {
        let understood = field::understand(&Field::Surface.takes(), text).ok()?;
        Surface::from_word(understood.words()?)
    });
    let held = state.current_setup().z_reference.as_ref();
    typed.or_else(|| held.map(|reference| reference.surface))
}

fn reference(model: &Model) -> Option<ZReference> {
    let state = model.state()?;
    let surface = surface(model, state)?;
    let held = state.current_setup().z_reference.as_ref();
    Some(ZReference {
        surface,
        height: if is_z0(state, surface) {
            Typed::mm(0.0)
        } else {
            number_of(model, Field::Height)?
        },
        shim: number_of(model, Field::Shim)?,
        // A place belongs to the surface that it was found on.
        at: held.filter(|z| z.surface == surface).and_then(|z| z.at),
    })
}

fn tool(model: &Model, state: &State, entered: Field) -> Vec<Event> {
    let Some(name) = words(model, Field::Tool).and_then(|label| named::tool(model, &label)) else {
        return vec![];
    };
    let Some(operation) = state.current_operation() else {
        return vec![];
    };
    let number = operation.part.as_ref().and_then(|part| part.tool_number);
    let mut events = vec![];
    let index = match named::in_rack(state, &name, Some(operation)) {
        Some(index) => index,
        None => {
            let Some(tool) = model.library.tools.iter().find(|tool| tool.name == name) else {
                return vec![];
            };
            let tool = Box::new(tool.clone());
            events.push(Event::ToolAdded {
                number,
                tool,
                stick_out: None,
            });
            state.rack.len()
        }
    };
    for (place, other) in state.current_setup().operations.iter().enumerate() {
        // A number in the program means the same tool wherever it comes again.
        let same_number = number.is_some()
            && other.tool.is_none()
            && other
                .part
                .as_ref()
                .is_some_and(|part| part.tool_number == number);
        if (place == state.operation || same_number) && other.tool != Some(index) {
            let edited = Operation {
                tool: Some(index),
                ..other.clone()
            };
            events.push(Event::OperationEdited(place, Box::new(edited)));
        }
    }
    if entered == Field::StickOut
        && let (Some(stick_out), Some(rack)) =
            (number_of(model, Field::StickOut), state.rack.get(index))
    {
        let tool = Box::new(rack.tool.clone());
        events.push(Event::ToolEdited {
            index,
            tool,
            stick_out: Some(stick_out),
        });
    }
    events
}

/// The rating as the person read it, taken as the cutter's: a lower one that the profile has for arbor or holder still counts.
fn speed_rating(model: &Model, state: &State) -> Vec<Event> {
    let planned = state.planned_tool();
    let rack = planned.and_then(|index| Some((index, state.rack.get(index)?)));
    let (Some((index, rack)), Some(read)) = (rack, number_of(model, Field::SpeedRating)) else {
        return vec![];
    };
    let tool = Box::new(Tool {
        cutter_rating_rpm: Some(read.value),
        ..rack.tool.clone()
    });
    vec![Event::ToolEdited {
        index,
        tool,
        stick_out: rack.stick_out.clone(),
    }]
}

/// The operation whose title and kind are filled in.
pub(super) fn new_operation(model: &Model) -> Option<Operation> {
    let title = words(model, Field::OperationTitle)?;
    let kind = words(model, Field::OperationKind).and_then(|w| OperationKind::from_word(&w))?;
    Some(Operation {
        title,
        kind,
        ..Operation::default()
    })
}

/// The size whose values are filled in.
pub(super) fn new_size(model: &Model) -> Option<Reading> {
    Some(Reading {
        what: words(model, Field::SizeWhat)?,
        nominal: number_of(model, Field::SizeNominal)?,
        upper: number_of(model, Field::SizeUpper)?,
        lower: number_of(model, Field::SizeLower)?,
        actual: None,
        of: Of::from_word(&words(model, Field::SizeSide)?)?,
        gauge: number_of(model, Field::SizeGauge),
        reads: vec![],
        made_by: words(model, Field::SizeBy),
    })
}

/// Whether the field is entered by itself and not as a part of a form.
pub(super) fn is_single(field: Field) -> bool {
    matches!(
        field,
        Field::Condition(_)
            | Field::Reading(_)
            | Field::Gauge(_)
            | Field::Rating(_)
            | Field::Lines(_)
            | Field::Touch
            | Field::TouchAt(_)
            | Field::StickOut
            | Field::SpeedRating
            | Field::Pilot
            | Field::Thread
            | Field::Tool
    )
}

/// Whether the field belongs to the calculator, whose drafts are values fixed by the person.
pub(super) fn is_recipe(field: Field) -> bool {
    recipe::FIELDS.contains(&field)
}
