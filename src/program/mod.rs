//! Reader of the open G-code language (ISO 6983-1, NISTIR 6556), streaming and tolerant.
//!
//! Bytes become lines ([`lines`]), lines become words with their columns ([`word`]),
//! words act on the modal state ([`interp`]), and each motion is handed once to the
//! folds ([`fold`]) that keep extents, lengths, times and sections. Memory is bounded
//! whatever the size of the file; findings are grouped and capped.
//!
//! Real programs are untidy, so the reader reads on: a `warn` finding where the path is
//! still known, a `stop` finding where from here on the tool's place would be a guess.

pub mod arc;
pub mod block;
pub mod bounds;
pub mod circles;
pub mod code;
pub mod expr;
pub mod finding;
pub mod fold;
pub mod interp;
pub mod kept;
pub mod length_use;
pub mod letter_o;
pub mod levels;
pub mod lines;
pub mod machine_z;
pub mod motion;
pub mod number;
pub mod options;
pub mod oword;
pub mod params;
pub mod quick;
pub mod read;
pub mod rules;
pub mod runs;
pub mod section;
pub mod spread;
pub mod start;
pub mod summary;
pub mod text;
pub mod time;
pub mod word;
pub mod work;
