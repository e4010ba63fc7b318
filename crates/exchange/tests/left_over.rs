//! What was left over, told at first and put right later: nothing of a mix is lost, and nothing counts twice.

mod output_support;

use exchange::as_applied_file::record_as_applied;
use exchange::record_json::{parse_record, write_record};
use output_support::{demo_record, demo_request};
use problem::Problems;
use proptest::prelude::*;
use quantity::{Amount, AmountUnit, VolumeUnit};
use record::{ApplicationRecord, Became, Fact};
use std::sync::LazyLock;

const HEAD: &str = "format = \"tussock.as-applied/1\"\n";
const RING: &str = "{ type = \"Polygon\", coordinates = [[[-97.6199, 38.8401], [-97.6198, 38.8401], \
                    [-97.6198, 38.84015], [-97.6199, 38.8401]]] }";

static PLANNED: LazyLock<ApplicationRecord> = LazyLock::new(demo_record);
static EQUIPMENT: LazyLock<Vec<sprayer::Sprayer>> = LazyLock::new(|| demo_request().equipment);

fn amended(record: &ApplicationRecord, text: &str) -> Result<ApplicationRecord, Problems> {
    record_as_applied("x", &format!("{HEAD}{text}"), record, jiff::tz::offset(-5), &EQUIPMENT).map(|(record, _)| record)
}

fn done(text: &str) -> ApplicationRecord {
    amended(&PLANNED, text).unwrap_or_else(|problems| panic!("{problems}"))
}

fn told(problems: &Problems) -> Vec<String> {
    problems.iter().map(|one| format!("{} {}", one.code, one.place.path.clone().unwrap_or_default())).collect()
}

fn millilitres(amount: Amount) -> f64 {
    amount.to(AmountUnit::Volume(VolumeUnit::Millilitre)).expect("by volume")
}

fn applied(record: &ApplicationRecord, task: &str) -> f64 {
    millilitres(record.task(task).expect("the task").products[0].amount)
}

fn left(record: &ApplicationRecord) -> Vec<(String, f64)> {
    let gallons = |left: &record::Leftover| left.spray.expect("a spray").to(VolumeUnit::UsGallon);
    record.leftover.value().into_iter().flatten().map(|left| (left.task.clone(), gallons(left))).collect()
}

const BOTH: &str = "[[task]]\nid = \"lawn\"\n[task.leftover]\nspray = \"0.8 gal\"\nway = \"handed-in\"\nbecame = \"x\"\n\
                    [[task]]\nid = \"hedge\"\n[task.leftover]\nspray = \"0.3 gal\"\n";

#[test]
fn what_was_left_of_one_task_stays_when_that_of_another_is_put_right() {
    let first = done(BOTH);
    let second = amended(&first, "[[task]]\nid = \"hedge\"\n[task.leftover]\nspray = \"0.2 gal\"\n").unwrap();
    assert_eq!(left(&second), [("lawn".to_owned(), 0.8), ("hedge".to_owned(), 0.2)]);
    assert_eq!(applied(&second, "lawn"), applied(&first, "lawn"));
    assert!(applied(&second, "hedge") > applied(&first, "hedge"));
    // What it was before is told, and what did not change is told once.
    let of_left = |record: &ApplicationRecord| {
        let differences = record.provenance.differences.iter();
        let words = differences.filter(|one| one.subject.contains("leftover"));
        words.map(|one| format!("{}: {} -> {}", one.subject, one.planned, one.done)).collect::<Vec<_>>()
    };
    let [lawn, hedge, again] = of_left(&second).try_into().expect("three differences");
    assert_eq!([&lawn, &hedge], of_left(&first).iter().collect::<Vec<_>>().as_slice());
    assert!(again.starts_with("task hedge, leftover: 0.300 gal") && again.contains("-> 0.200 gal"), "{again}");
}

#[test]
fn a_leftover_is_taken_back_by_saying_that_nothing_was_left() {
    let first = done(BOTH);
    let second = amended(&first, "[[task]]\nid = \"hedge\"\n[task.leftover]\nnothing = true\n").unwrap();
    assert_eq!(left(&second), [("lawn".to_owned(), 0.8)]);
    assert_eq!(applied(&second, "hedge"), applied(&PLANNED, "hedge"));
    let gone =
        second.provenance.differences.iter().any(|one| one.subject == "task hedge, leftover" && one.done == "nothing");
    assert!(gone, "{:?}", second.provenance.differences);
    let third = amended(&second, "[[task]]\nid = \"lawn\"\n[task.leftover]\nnothing = true\n").unwrap();
    assert_eq!(third.leftover, Fact::DoesNotArise);
    assert_eq!(applied(&third, "lawn"), applied(&PLANNED, "lawn"));
    let all = amended(&first, "nothing_left_over = true\n").unwrap();
    assert_eq!(all.leftover, Fact::DoesNotArise);
    let twice = "[[task]]\nid = \"lawn\"\n[task.leftover]\nnothing = true\n[[task.tank]]\nnumber = 2\nleftover = { spray = \"0.1 gal\" }\n";
    assert_eq!(told(&amended(&first, twice).unwrap_err()), ["as-applied::leftover-twice task[1].tank[1].leftover"]);
}

#[test]
fn a_fill_put_right_cannot_be_less_than_what_was_left_of_it() {
    let first = done("[[task]]\nid = \"hedge\"\n[task.leftover]\nspray = \"0.3 gal\"\n");
    for tank in ["not_filled = true", "spray = \"0.2 gal\""] {
        let text = format!("[[task]]\nid = \"hedge\"\n[[task.tank]]\nnumber = 1\n{tank}\n");
        assert_eq!(told(&amended(&first, &text).unwrap_err())[0], "as-applied::leftover-too-much task[1].tank[1]");
        // Told together with what was left, it can be.
        let text = format!("{text}[task.leftover]\nnothing = true\n");
        let second = amended(&first, &text).unwrap();
        assert_eq!(second.leftover, Fact::DoesNotArise);
        assert!(parse_record("r", &write_record(&second)).is_ok());
    }
    // More product in the same tank: what was left of it is of that mix.
    let text = "[[task]]\nid = \"hedge\"\n[[task.tank]]\nnumber = 1\nproduct = [{ label = \"brackwater-sc\", amount = \"20 mL\" }]\n";
    let second = amended(&first, text).unwrap();
    let share = |record: &ApplicationRecord| {
        let left = millilitres(record.leftover.value().unwrap()[0].products[0]);
        left / (left + applied(record, "hedge"))
    };
    assert!((share(&second) - share(&first)).abs() < 1e-12);
    assert!(
        (millilitres(second.leftover.value().unwrap()[0].products[0]) + applied(&second, "hedge") - 20.0).abs() < 1e-9
    );
}

#[test]
fn what_was_put_down_of_a_leftover_goes_with_it() {
    let put_down = format!(
        "[[task]]\nid = \"lawn\"\n[task.leftover]\nspray = \"0.3 gal\"\napplied = {{ site = \"turf\", ground = {RING} }}\n"
    );
    let first = done(&put_down);
    let whole = applied(&PLANNED, "lawn");
    assert!((applied(&first, "lawn") + applied(&first, "lawn-leftover") - whole).abs() < 1e-9);
    // That of another task leaves it as it is.
    let other = amended(&first, "[[task]]\nid = \"hedge\"\n[task.leftover]\nspray = \"0.3 gal\"\n").unwrap();
    assert_eq!(applied(&other, "lawn-leftover"), applied(&first, "lawn-leftover"));
    // Told again, it is the same task.
    let less = amended(&first, &put_down.replace("0.3 gal", "0.1 gal")).unwrap();
    assert!((applied(&less, "lawn-leftover") * 3.0 - applied(&first, "lawn-leftover")).abs() < 1e-9);
    assert_eq!(less.tasks.len(), first.tasks.len());
    for nothing in ["nothing_left_over = true\n", "[[task]]\nid = \"lawn\"\n[task.leftover]\nnothing = true\n"] {
        let none = amended(&first, nothing).unwrap();
        assert!(none.task("lawn-leftover").is_none());
        assert!((applied(&none, "lawn") - whole).abs() < 1e-9);
    }
    // Its mix was stronger than told: so is what was put down.
    let tank = "[[task]]\nid = \"lawn\"\n[[task.tank]]\nnumber = 7\nproduct = [{ label = \"brackwater-sc\", amount = \"20.4 mL\" }]\n";
    let stronger = amended(&first, tank).unwrap();
    assert!(applied(&stronger, "lawn-leftover") > 1.9 * applied(&first, "lawn-leftover"));
    // Of a task that was not carried out nothing was left; of one that put down nothing, nobody has said where it is.
    let not_done = amended(&first, "[[task]]\nid = \"lawn\"\nnot_done = true\n").unwrap();
    assert!(not_done.task("lawn-leftover").is_none() && not_done.leftover.value().is_none());
    let nowhere = amended(&first, "[[task]]\nid = \"lawn-leftover\"\nnot_done = true\n").unwrap();
    assert_eq!(nowhere.leftover.value().unwrap()[0].became, Fact::Absent);
    // To change the task that put it down, and take back that it did, are two things.
    let both = "[[task]]\nid = \"lawn\"\n[task.leftover]\nnothing = true\n[[task]]\nid = \"lawn-leftover\"\nwall = \"3 sq ft\"\n";
    assert_eq!(told(&amended(&first, both).unwrap_err()), ["as-applied::contradiction task[2]"]);
}

#[test]
fn the_fill_of_a_tank_and_the_lot_of_what_was_put_down_of_it_are_put_right_in_one_file() {
    let first = done(&format!(
        "[[task]]\nid = \"lawn\"\n[task.leftover]\nspray = \"0.3 gal\"\napplied = {{ site = \"turf\", ground = {RING} }}\n"
    ));
    let fill = "[[task]]\nid = \"lawn\"\n[[task.tank]]\nnumber = 7\nproduct = [{ label = \"brackwater-sc\", amount = \"20.4 mL\" }]\n";
    let lot = "[[task]]\nid = \"lawn-leftover\"\nlot = [{ label = \"brackwater-sc\", numbers = [\"B-0999\"] }]\n";
    let mixed = amended(&first, fill).unwrap();
    for both in [format!("{fill}{lot}"), format!("{lot}{fill}")] {
        let second = amended(&first, &both).unwrap_or_else(|problems| panic!("{problems}"));
        let rest = &second.task("lawn-leftover").expect("the rest").products[0];
        assert_eq!(rest.lots, Fact::Recorded(vec!["B-0999".to_owned()]));
        assert_eq!(rest.amount, second.leftover.value().unwrap()[0].products[0]);
        assert_eq!(applied(&second, "lawn-leftover"), applied(&mixed, "lawn-leftover"));
        assert!(applied(&second, "lawn-leftover") > 1.9 * applied(&first, "lawn-leftover"));
        let ids = |record: &ApplicationRecord| record.tasks.iter().map(|task| task.id.clone()).collect::<Vec<_>>();
        assert_eq!(ids(&second), ids(&first));
        assert!(parse_record("r", &write_record(&second)).is_ok());
    }
    // It was put down nowhere: no new amount brings it back.
    let nowhere = amended(&first, &format!("{fill}[[task]]\nid = \"lawn-leftover\"\nnot_done = true\n")).unwrap();
    assert!(nowhere.task("lawn-leftover").is_none());
    assert_eq!(nowhere.leftover.value().unwrap()[0].became, Fact::Absent);
    // Nothing was left: then nothing was put down of it either.
    let refused = amended(&first, &format!("nothing_left_over = true\n{lot}")).unwrap_err();
    assert_eq!(told(&refused), ["as-applied::contradiction task[1]"]);
    // Less than was left can have been filled, where nothing was.
    let less = "[[task]]\nid = \"lawn\"\n[[task.tank]]\nnumber = 7\nspray = \"0.2 gal\"\n";
    assert!(amended(&first, less).is_err());
    assert_eq!(amended(&first, &format!("nothing_left_over = true\n{less}")).unwrap().leftover, Fact::DoesNotArise);
}

#[test]
fn two_leftovers_of_one_product_are_held_against_all_that_was_filled_of_it() {
    let parts = |one: f64, other: f64| {
        format!(
            "[[task]]\nid = \"lawn\"\n[[task.tank]]\nnumber = 1\n\
             leftover = {{ product = [{{ label = \"brackwater-sc\", amount = \"{one} mL\" }}] }}\n[task.leftover]\n\
             product = [{{ label = \"brackwater-sc\", amount = \"{other} mL\" }}]\n"
        )
    };
    let all = applied(&PLANNED, "lawn");
    let refused = amended(&PLANNED, &parts(all * 0.6, all * 0.6)).unwrap_err();
    assert_eq!(told(&refused), ["as-applied::leftover-too-much task[1].leftover"]);
    assert!((applied(&done(&parts(all * 0.3, all * 0.6)), "lawn") / all - 0.1).abs() < 1e-9);
}

/// One thing that a person may tell of a task.
fn telling() -> impl Strategy<Value = String> {
    let task = prop_oneof![Just(("lawn", 7)), Just(("hedge", 1)), Just(("perimeter", 1))];
    (task, 0..8_u8, 1..=8_usize, 0.0..2.2_f64, 0.0..30.0_f64).prop_map(
        |((task, tanks), what, number, spray, product)| {
            let number = (number - 1) % tanks + 1;
            let tank = format!("[[task.tank]]\nnumber = {number}\n");
            let of_what = match what {
                0 => format!("{tank}not_filled = true\n"),
                1 => format!("{tank}spray = \"{spray} gal\"\n"),
                2 => format!("{tank}product = [{{ label = \"brackwater-sc\", amount = \"{product} mL\" }}]\n"),
                3 => format!("{tank}leftover = {{ spray = \"{spray} gal\" }}\n"),
                4 => format!("[task.leftover]\nspray = \"{spray} gal\"\n"),
                5 => "[task.leftover]\nnothing = true\n".to_owned(),
                6 => format!(
                    "[task.leftover]\nspray = \"{spray} gal\"\napplied = {{ site = \"turf\", ground = {RING} }}\n"
                ),
                _ => "not_done = true\n".to_owned(),
            };
            format!("[[task]]\nid = \"{task}\"\n{of_what}")
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    /// However a record is put right: it is refused, or it can be read, nothing in it is below nothing, and of each
    /// task what was filled is what was put down and what was left.
    #[test]
    fn a_record_put_right_any_number_of_times_accounts_for_all_that_was_filled(
        tellings in proptest::collection::vec(telling(), 1..8)
    ) {
        let mut record = PLANNED.clone();
        let mut kept = 0;
        for text in &tellings {
            let Ok(next) = amended(&record, text) else { continue };
            kept += 1;
            record = next;
            let text = write_record(&record);
            prop_assert_eq!(write_record(&parse_record("r", &text).unwrap()), text);
            let leftovers = record.leftover.value().cloned().unwrap_or_default();
            for task in record.tasks.iter().filter(|task| !task.tanks.is_empty()) {
                let fills = task.tanks.iter().filter_map(|tank| tank.filled.as_ref());
                let filled: f64 = fills.map(|fill| millilitres(fill.products[0])).sum();
                let left: f64 =
                    leftovers.iter().filter(|left| left.task == task.id).map(|left| millilitres(left.products[0])).sum();
                let put_down = millilitres(task.products[0].amount);
                prop_assert!(put_down >= 0.0 && (filled - left - put_down).abs() < 1e-6, "{filled} {left} {put_down}");
            }
            for left in &leftovers {
                if let Fact::Recorded(Became::Applied(task)) = &left.became {
                    prop_assert_eq!(&record.task(task).unwrap().products[0].amount, &left.products[0]);
                }
            }
            let further = record.tasks.iter().filter(|task| task.tanks.is_empty()).count();
            let put_down = leftovers.iter().filter(|left| matches!(left.became, Fact::Recorded(Became::Applied(_))));
            prop_assert_eq!(further, put_down.count());
        }
        prop_assume!(kept > 0);
    }
}
