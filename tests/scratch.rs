mod support;
use millside::session::event::Event;
use millside::session::state::Step;
use support::desk::Desk;
fn to_step(desk: &mut Desk, step: Step) {
    for _ in 0..20 {
        if desk.state().step == step {
            return;
        }
        let now = Step::RAIL.iter().position(|s| *s == desk.state().step);
        let wanted = Step::RAIL.iter().position(|s| *s == step);
        desk.keys(if now < wanted { "6" } else { "4" });
    }
}
fn inject(desk: &mut Desk) {
    let now = desk.now();
    let work = desk.model.work.as_mut().unwrap();
    let mut r = support::session::recipe();
    r.override_percent = Some(90.0);
    r.binds = Some("axis push 92 %".into());
    work.session = work
        .session
        .apply(Event::RecipeDecided(Box::new(r)), now)
        .unwrap();
}
#[test]
fn show() {
    let mut desk = Desk::new(80, 24);
    desk.keys("\r\r");
    to_step(&mut desk, Step::Stock);
    desk.keys("\r");
    to_step(&mut desk, Step::Hold);
    desk.answer_lines();
    desk.keys("\r");
    desk.answer_lines();
    to_step(&mut desk, Step::Xy);
    desk.keys("\r\r");
    to_step(&mut desk, Step::Tool);
    desk.answer_lines();
    desk.keys("\r");
    desk.answer_lines();
    println!("{}", desk.screen());
    to_step(&mut desk, Step::Z);
    desk.keys("\r\r-11.9\r");
    println!("{}", desk.screen());
    inject(&mut desk);
    to_step(&mut desk, Step::Air);
    println!("{}", desk.screen());
    desk.keys("\r20\r");
    println!("{}", desk.screen());
    desk.keys("\r-11.9\r");
    println!("{}", desk.screen());
    to_step(&mut desk, Step::Cut);
    println!("{}", desk.screen());
    desk.answer_lines();
    println!("{}", desk.screen());
    desk.keys("5");
    desk.pass(60);
    println!("{}", desk.screen());
    desk.keys("-");
    println!("{}", desk.screen());
    desk.keys("5\rmetal welded on\r");
    println!("{}", desk.screen());
    desk.keys("x");
    println!("{}", desk.screen());
    println!("answers {}", desk.state().answers.len());
}
