//! How long the shipped profiles take to read, and a recommendation: one alone, and ten thousand. Prints; asserts nothing.
//!
//! `cargo bench --bench recipe`

use std::hint::black_box;
use std::time::Duration;
use std::time::Instant;

use millside::calculator::answer;
use millside::calculator::question::Aim;
use millside::calculator::question::Cut;
use millside::calculator::question::Question;
use millside::profile::library::Library;

#[expect(clippy::print_stdout, reason = "a bench prints its result")]
fn main() {
    let library = Library::shipped();
    let mut times: Vec<Duration> = (0..200)
        .map(|_| {
            let begun = Instant::now();
            black_box(Library::shipped());
            begun.elapsed()
        })
        .collect();
    times.sort_unstable();
    println!(
        "{} tools and all other profiles read: median {:?}",
        library.tools.items().len(),
        times[times.len() / 2]
    );
    let machine = library.machines.get("light-belt-mill").expect("shipped");
    let material = library.materials.get("al-6082-t6").expect("shipped");
    for (name, cut) in [
        ("em-6-1f", Cut::Slot),
        ("em-6-1f", Cut::Side),
        ("em-6-3f", Cut::Side),
        ("face-25-2", Cut::Face),
        ("drill-3.3", Cut::Drill),
    ] {
        let tool = library.tools.get(name).expect("shipped");
        for aim in Aim::ALL {
            let mut question = Question::new(machine, material, tool, cut);
            question.aim = aim;
            let begun = Instant::now();
            let _ = black_box(answer(black_box(&question)));
            let one = begun.elapsed();
            let many = 10_000;
            let mut longest = Duration::ZERO;
            let begun = Instant::now();
            for _ in 0..many {
                let own = Instant::now();
                let _ = black_box(answer(black_box(&question)));
                longest = longest.max(own.elapsed());
            }
            let all = begun.elapsed();
            println!(
                "{name} {} {}: first {one:?}, {many} in {all:?}, mean {:?}, longest {longest:?}",
                cut.word(),
                aim.word(),
                all / many
            );
        }
    }
}
