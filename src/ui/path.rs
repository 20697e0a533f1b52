//! The path of the program in characters: dots where it cuts, denser where it is deeper.

use crate::app::checking::Checked;
use crate::app::looking::Look;
use crate::app::looking::Part;
use crate::app::looking::spot;
use crate::app::looking::tools;
use crate::job::typed::plain;
use crate::plain::width;
use crate::program::bounds::Bounds;
use crate::program::fold::Fold;
use crate::program::motion::Kind;
use crate::program::motion::Motion;
use crate::session::state::Setup;
use crate::ui::look::Style;

/// A terminal cell is about twice as high as it is wide.
const CELL_ASPECT: f64 = 2.0;
/// Air around the whole, as a share of it.
const AIR: f64 = 0.03;
/// Points of one motion that are put into the picture at most.
const MOST_POINTS: f64 = 4000.0;
/// Findings that speak of rapids: only then these are shown.
const OF_RAPIDS: [&str; 6] = [
    "rapid-through-uncut",
    "rapid-close-to-metal",
    "rapid-below-zero",
    "holder-near-keep-out",
    "keep-out-entered",
    "over-travel",
];

/// A cell of the picture.
#[derive(Clone, Copy, Default, PartialEq)]
struct Cell {
    /// Lowest cut here: how deep, of the deepest, 0 to 1; none: not cut.
    deep: Option<f64>,
    rapid: bool,
}

/// Where the blank lies in the program's own numbers.
#[derive(Clone, Copy)]
pub struct Blank {
    low: [f64; 3],
    high: [f64; 3],
}

impl Blank {
    /// The blank of a setup; none while its size or its zero is not stated.
    pub fn of(setup: &Setup) -> Option<Self> {
        let size = setup.stock.as_ref()?.size();
        let share = setup.zero.as_ref()?.point.share();
        let size = [size.x_mm, size.y_mm, size.z_mm];
        let low: [f64; 3] = std::array::from_fn(|axis| -share[axis] * size[axis]);
        Some(Self {
            low,
            high: std::array::from_fn(|axis| low[axis] + size[axis]),
        })
    }
}

/// What is seen and where: the frame of a picture.
struct Window {
    axes: [usize; 2],
    low: [f64; 2],
    mm_a_column: f64,
    columns: usize,
    rows: usize,
}

impl Window {
    /// Column and row of a point, when it lies inside.
    fn cell(&self, p: [f64; 3]) -> Option<(usize, usize)> {
        let column = (p[self.axes[0]] - self.low[0]) / self.mm_a_column;
        let row = (p[self.axes[1]] - self.low[1]) / (self.mm_a_column * CELL_ASPECT);
        let is_in =
            (0.0..self.columns as f64).contains(&column) && (0.0..self.rows as f64).contains(&row);
        is_in.then(|| (column as usize, self.rows - 1 - row as usize))
    }

    /// Column and row of a place, the nearest inside.
    fn nearest(&self, u: f64, v: f64) -> (usize, usize) {
        let clamp = |value: f64, count: usize| (value.max(0.0) as usize).min(count - 1);
        let column = clamp((u - self.low[0]) / self.mm_a_column, self.columns);
        let row = clamp(
            (v - self.low[1]) / (self.mm_a_column * CELL_ASPECT),
            self.rows,
        );
        (column, self.rows - 1 - row)
    }

    fn high(&self) -> [f64; 2] {
        [
            self.low[0] + self.columns as f64 * self.mm_a_column,
            self.low[1] + self.rows as f64 * self.mm_a_column * CELL_ASPECT,
        ]
    }
}

/// Puts motions into cells.
struct Raster<'a> {
    window: &'a Window,
    cells: Vec<Cell>,
    /// Lines that are shown, first and last of each section.
    lines: Vec<[u64; 2]>,
    /// Line whose rapids are shown.
    rapids_of: Option<u64>,
    top: f64,
    bottom: f64,
}

impl Fold for Raster<'_> {
    fn motion(&mut self, motion: &Motion) {
        let is_own = |[first, last]: &[u64; 2]| (*first..=*last).contains(&motion.line);
        if !motion.is_known() || !(self.lines.is_empty() || self.lines.iter().any(is_own)) {
            return;
        }
        let is_rapid = motion.kind == Kind::Rapid;
        if is_rapid && self.rapids_of != Some(motion.line) {
            return;
        }
        let points = (motion.length_mm / (0.5 * self.window.mm_a_column))
            .ceil()
            .clamp(1.0, MOST_POINTS);
        let count = points as usize;
        for i in 0..=count {
            let share = i as f64 / points;
            let at = point(motion, share);
            let Some((column, row)) = self.window.cell(at) else {
                continue;
            };
            let cell = &mut self.cells[row * self.window.columns + column];
            if is_rapid {
                cell.rapid = true;
            } else if at[2] < self.top {
                let deep = (self.top - at[2]) / (self.top - self.bottom).max(1e-6);
                cell.deep = Some(cell.deep.map_or(deep, |old| old.max(deep)));
            }
        }
    }

    fn dwell(&mut self, _seconds: f64) {}
}

/// The point at a share of a motion.
fn point(motion: &Motion, share: f64) -> [f64; 3] {
    let mut at: [f64; 3] = std::array::from_fn(|axis| {
        motion.from[axis] + (motion.to[axis] - motion.from[axis]) * share
    });
    if let Some(arc) = &motion.arc {
        let [first, second, _] = arc.plane.axes();
        [at[first], at[second]] = arc.at(share);
    }
    at
}

/// Signs of a cut, the deeper the denser: each is a quarter of the deepest.
fn dots(style: &Style) -> [char; 4] {
    if style.is_ascii() {
        ['.', ':', '%', '@']
    } else {
        ['⠂', '⠒', '⠶', '⣿']
    }
}

fn dot(deep: f64, style: &Style) -> char {
    dots(style)[((deep * 4.0) as usize).min(3)]
}

/// What the dots mean: how deep below the top of the blank, or below Z0 where that is not known.
fn legend(deepest_mm: f64, style: &Style, columns: usize) -> String {
    let rounded = |mm: f64| plain((mm * 10.0).round() / 10.0);
    let [a, b, c, d] = dots(style);
    let deepest = rounded(deepest_mm);
    if deepest_mm < 0.05 {
        return String::new();
    }
    let [first, second, third] = [0.25, 0.5, 0.75].map(|share| rounded(share * deepest_mm));
    let each = format!("{a} to {first}  {b} to {second}  {c} to {third}  {d} to {deepest} mm deep");
    let together = format!("{a}{b}{c}{d} to {deepest} mm deep");
    [each, together]
        .into_iter()
        .find(|words| width(words) <= columns)
        .unwrap_or_else(|| format!("{a} to {d} {deepest} mm"))
}

/// Everything that is to be in sight: blank, keep-outs, path.
fn whole(checked: &Checked, setup: &Setup, blank: Option<Blank>) -> Option<Bounds> {
    let mut all = checked.summary.extents.feed;
    if blank.is_none() {
        // The zero is worth a place in the picture while it does not dwarf the rest.
        let mut with_zero = all;
        with_zero.include([0.0; 3]);
        let size =
            |bounds: &Bounds, axis: usize| bounds.axis(axis).map_or(0.0, |(low, high)| high - low);
        if (0..3).all(|axis| size(&with_zero, axis) <= 2.0 * size(&all, axis).max(1.0)) {
            all = with_zero;
        }
    }
    if let Some(blank) = blank {
        all.include(blank.low);
        all.include(blank.high);
        for keep_out in setup.zones() {
            let at = |xy: [f64; 2], z: f64| {
                [blank.low[0] + xy[0], blank.low[1] + xy[1], blank.low[2] + z]
            };
            all.include(at(keep_out.from, 0.0));
            all.include(at(keep_out.to, keep_out.height));
        }
    }
    (0..3).all(|axis| all.axis(axis).is_some()).then_some(all)
}

fn window(whole: &Bounds, look: &Look, near: Option<[f64; 3]>, room: (usize, usize)) -> Window {
    let axes = if look.from_side { [0, 2] } else { [0, 1] };
    let size = axes.map(|axis| (whole.max[axis] - whole.min[axis]).max(1.0) * (1.0 + 2.0 * AIR));
    let (columns, rows) = (room.0.max(4), room.1.max(2));
    let mm_a_column = (size[0] / columns as f64).max(size[1] / (rows as f64 * CELL_ASPECT))
        / f64::from(1_u32 << look.zoom);
    let middle: [f64; 2] = std::array::from_fn(|i| {
        let centre = f64::midpoint(whole.min[axes[i]], whole.max[axes[i]]);
        let from = near
            .filter(|_| look.zoom > 0)
            .map_or(centre, |p| p[axes[i]]);
        from + look.pan[i] * size[i]
    });
    Window {
        axes,
        low: [
            middle[0] - 0.5 * columns as f64 * mm_a_column,
            middle[1] - 0.5 * rows as f64 * mm_a_column * CELL_ASPECT,
        ],
        mm_a_column,
        columns,
        rows,
    }
}

/// The picture in `room` (columns, rows), with a line of sizes above it and a scale below it.
pub fn picture(
    checked: &Checked,
    setup: &Setup,
    look: &Look,
    style: &Style,
    room: (usize, usize),
) -> Vec<String> {
    let blank = Blank::of(setup);
    let Some(whole) = whole(checked, setup, blank) else {
        return vec![
            "The program moves nowhere that is known: there is nothing to draw.".to_owned(),
        ];
    };
    let Some(kept) = &checked.summary.kept else {
        return vec!["The program is too long to be drawn move by move.".to_owned()];
    };
    let finding = look.finding.and_then(|place| checked.findings.get(place));
    let near = finding.and_then(|finding| spot(checked, finding));
    let window = window(&whole, look, near, (room.0, room.1.saturating_sub(2)));
    let (low, high) = checked.summary.extents.feed.axis(2).unwrap_or((0.0, 0.0));
    // What runs above the blank cuts nothing. Where it is not known, Z0 is taken as its top when something is cut below that;
    // the highest feed is only where the tool comes down to.
    let unknown = if low < 0.0 { 0.0 } else { high };
    let top = blank.map_or(unknown, |blank| blank.high[2]).min(high) + 1e-6;
    let mut raster = Raster {
        window: &window,
        cells: vec![Cell::default(); window.columns * window.rows],
        lines: match look.part {
            Part::All => vec![],
            part => {
                let sections = part.sections(checked);
                let lines = sections.iter().map(|s| [s.first_line, s.last_line]);
                lines.collect()
            }
        },
        rapids_of: finding
            .filter(|finding| OF_RAPIDS.contains(&finding.id))
            .map(|finding| finding.line),
        top,
        bottom: low,
    };
    kept.replay(&mut raster);
    let mut rows = vec![vec![' '; window.columns]; window.rows];
    if let Some(blank) = blank {
        outline(&mut rows, &window, blank, style);
        hatch(&mut rows, &window, blank, setup, style);
    }
    for (place, cell) in raster.cells.iter().enumerate() {
        let at = &mut rows[place / window.columns][place % window.columns];
        if cell.rapid {
            *at = '+';
        } else if let Some(deep) = cell.deep {
            *at = dot(deep, style);
        }
    }
    if let Some((column, row)) = window.cell([0.0; 3]) {
        for (offset, sign) in ['(', '0', ')'].into_iter().enumerate() {
            let at = (column + offset).saturating_sub(1).min(window.columns - 1);
            rows[row][at] = sign;
        }
    }
    if let (Some(place), Some((column, row))) = (look.finding, near.and_then(|p| window.cell(p))) {
        for (offset, sign) in format!("!{}", place + 1).chars().enumerate() {
            if let Some(at) = rows[row].get_mut(column + offset) {
                *at = sign;
            }
        }
    }
    let mut lines = vec![sizes(look, &whole, checked, blank, room.0)];
    lines.extend(rows.into_iter().map(String::from_iter));
    let bar = scale(&window);
    let legend = legend(top - low, style, room.0.saturating_sub(bar.len() + 3));
    lines.push(format!("{bar}   {legend}").trim_end().to_owned());
    lines
}

/// What is drawn, in words; in a narrow column without what goes without saying.
fn sizes(
    look: &Look,
    whole: &Bounds,
    checked: &Checked,
    blank: Option<Blank>,
    columns: usize,
) -> String {
    let (view, second) = if look.from_side {
        ("from the side", 2)
    } else {
        ("from above", 1)
    };
    let what = match look.part {
        Part::All => "all tools".to_owned(),
        Part::Tool(place) => match tools(checked).get(place) {
            Some(Some(tool)) => format!("T{tool} alone"),
            _ => "what names no tool".to_owned(),
        },
        Part::Section(place) => {
            let sections = look.part.sections(checked);
            match sections
                .first()
                .map_or("", |section| section.title.as_str())
            {
                "" => format!("section {}", place + 1),
                title => format!("section {}, {title}", place + 1),
            }
        }
    };
    let size = |axis: usize| match blank {
        Some(blank) => blank.high[axis] - blank.low[axis],
        None => whole.max[axis] - whole.min[axis],
    };
    let of = if blank.is_some() { "blank" } else { "path" };
    let rounded = |mm: f64| plain((mm * 100.0).round() / 100.0);
    let sizes = format!("{of} {} x {} mm", rounded(size(0)), rounded(size(second)));
    let full = format!("{view}, (0) is zero: {sizes}, {what}");
    if full.len() <= columns {
        return full;
    }
    match look.part {
        Part::All => format!("{view}: {sizes}, (0) zero"),
        _ => format!("{view}: {sizes}, (0) zero, {what}"),
    }
}

fn outline(rows: &mut [Vec<char>], window: &Window, blank: Blank, style: &Style) {
    let [u, v] = window.axes;
    let high = window.high();
    let (across, up) = if style.is_ascii() {
        ('-', '|')
    } else {
        ('─', '│')
    };
    let (left, front) = window.nearest(blank.low[u], blank.low[v]);
    let (right, back) = window.nearest(blank.high[u], blank.high[v]);
    for (value, row) in [(blank.low[v], front), (blank.high[v], back)] {
        if (window.low[1]..=high[1]).contains(&value) {
            rows[row][left..=right].fill(across);
        }
    }
    for (value, column) in [(blank.low[u], left), (blank.high[u], right)] {
        if (window.low[0]..=high[0]).contains(&value) {
            for row in rows.iter_mut().take(front + 1).skip(back) {
                row[column] = up;
            }
        }
    }
}

fn hatch(rows: &mut [Vec<char>], window: &Window, blank: Blank, setup: &Setup, style: &Style) {
    let sign = if style.is_ascii() { '/' } else { '▒' };
    let high = window.high();
    for keep_out in setup.zones() {
        let u = [keep_out.from[0], keep_out.to[0]].map(|x| blank.low[0] + x);
        let v = if window.axes[1] == 2 {
            [0.0, keep_out.height].map(|z| blank.low[2] + z)
        } else {
            [keep_out.from[1], keep_out.to[1]].map(|y| blank.low[1] + y)
        };
        let is_seen =
            u[0] <= high[0] && u[1] >= window.low[0] && v[0] <= high[1] && v[1] >= window.low[1];
        if !is_seen {
            continue;
        }
        let (left, front) = window.nearest(u[0], v[0]);
        let (right, back) = window.nearest(u[1], v[1]);
        for row in rows.iter_mut().take(front + 1).skip(back) {
            row[left..=right].fill(sign);
        }
    }
}

/// A bar of a round length, at most a third of the picture.
fn scale(window: &Window) -> String {
    let most = window.columns as f64 * window.mm_a_column / 3.0;
    let decade = 10.0_f64.powf(most.log10().floor());
    let length = [5.0, 2.0, 1.0]
        .into_iter()
        .map(|step| step * decade)
        .find(|length| *length <= most)
        .unwrap_or(decade);
    let columns = ((length / window.mm_a_column).round() as usize).max(2);
    format!(
        "|{}| {} mm",
        "-".repeat(columns.saturating_sub(2)),
        plain(length)
    )
}
