//! What was left of the mixes of a record: what is told, what was told before it, held against what was filled.

use crate::actual::{ActualLeftover, ActualTask, Left, LeftoverUse};
use crate::application::{ApplicationRecord, Became, Leftover};
use crate::apply::{not_sprayed, put_amount};
use crate::fact::Fact;
use crate::task::{Fill, ProductRecord, TaskRecord, TreatedZone};
use problem::{Problem, Problems};
use quantity::{Amount, Area, Volume, VolumeUnit};
use treatment::ZoneKind;

/// Beyond all that was filled, sums of parts may come to so much by rounding.
const HAIR: f64 = 1e-9;

/// The leftovers of a record while what differed is put into it. What is told takes the place of what the record had
/// of the same tank; of the other tanks it stays.
pub(crate) struct LeftOvers<'a> {
    planned: &'a ApplicationRecord,
    left: Vec<Leftover>,
    /// Tasks that put leftovers down.
    further: Vec<TaskRecord>,
    /// Tasks of the record that put down what is told to have been otherwise.
    gone: Vec<String>,
    /// What tasks of the record put down of a mix that is told to have been another.
    mixed: Vec<(String, Vec<Amount>)>,
    /// Whether it is told that nothing was left, of all or of a task.
    is_nothing: bool,
}

impl<'a> LeftOvers<'a> {
    /// What the record has; all of it is taken back where nothing was left.
    pub(crate) fn kept_in(planned: &'a ApplicationRecord, is_nothing: bool) -> Self {
        let left = planned.leftover.value().cloned().unwrap_or_default();
        let mut all = Self { planned, left, further: Vec::new(), gone: Vec::new(), mixed: Vec::new(), is_nothing };
        if is_nothing {
            all.take_out(|_| true);
        }
        all
    }

    /// A task that was not carried out left nothing, and put down nothing that another left.
    pub(crate) fn not_done(&mut self, task: &str) {
        self.take_out(|left| left.task == task);
        for left in &mut self.left {
            if left.became == Fact::Recorded(Became::Applied(task.to_owned())) {
                left.became = Fact::Absent;
            }
        }
    }

    /// Takes in what is told of a task, which is changed already, and holds all that it left against what was filled.
    pub(crate) fn told_of(&mut self, task: &TaskRecord, differs: &ActualTask, at: &str, problems: &mut Problems) {
        let was = self.planned.task(&task.id).unwrap_or(task);
        let held = problems.len();
        self.mixed_anew(task, was, differs, at, problems);
        let is_within = held == problems.len();
        if differs.leftover.as_ref().is_some_and(is_nothing) {
            self.take_out(|kept| kept.task == task.id);
            self.is_nothing = true;
        }
        let of_task = differs.leftover.iter().filter(|left| !is_nothing(left));
        let told = of_task.map(|left| (None, left, format!("{at}.leftover")));
        let of_tanks = differs.tanks.iter().enumerate().filter_map(|(index, tank)| {
            let left = tank.leftover.as_ref()?;
            Some((Some(tank.number), left, format!("{at}.tank[{}].leftover", index + 1)))
        });
        for (number, left, at) in told.chain(of_tanks) {
            let last = last_filled(task);
            let of_task = |left: &ActualLeftover| number.is_some() && (number == last || is_nothing(left));
            if differs.leftover.as_ref().is_some_and(of_task) {
                problems.push(
                    Problem::error("as-applied::leftover-twice", "what the last tank left is told twice")
                        .expected("the leftover of the task, or that of its last tank")
                        .mend("delete one of the two")
                        .at(at),
                );
                continue;
            }
            let tank = number.or(last);
            self.take_out(|kept| kept.task == task.id && tank_of(kept, was) == tank);
            if is_nothing(left) {
                self.is_nothing = true;
            } else if let Some((leftover, further)) = left_over(task, number, left, &at, problems) {
                self.left.push(leftover);
                self.further.extend(further);
            }
        }
        if is_within {
            self.within_what_was_filled(task, at, problems);
        }
    }

    /// What was left of a tank and stays told is of the mix that the tank now has.
    fn mixed_anew(
        &mut self,
        task: &TaskRecord,
        was: &TaskRecord,
        differs: &ActualTask,
        at: &str,
        problems: &mut Problems,
    ) {
        let is_told = |tank: Option<usize>| {
            let of_task = |left: &ActualLeftover| is_nothing(left) || tank == last_filled(task);
            differs.leftover.as_ref().is_some_and(of_task)
                || differs.tanks.iter().any(|told| Some(told.number) == tank && told.leftover.is_some())
        };
        for left in self.left.iter_mut().filter(|left| left.task == task.id) {
            let tank = tank_of(left, was);
            let of = |task: &TaskRecord| Some(task.tanks.get(tank?.checked_sub(1)?)?.filled.clone());
            if is_told(tank) || of(task) == of(was) {
                continue;
            }
            // Another tank may be the last one now: it stays what was left of that which was.
            left.tank = tank;
            let Some(spray) = left.spray else { continue };
            let fill = of(task).flatten();
            let held = fill.as_ref().and_then(|fill| fill.spray).unwrap_or(Volume::ZERO);
            let Some(fill) = fill.filter(|_| spray <= held) else {
                let told = differs.tanks.iter().position(|told| Some(told.number) == tank);
                problems.push(
                    Problem::error(
                        "as-applied::leftover-too-much",
                        format!("the record has {} left of a tank that held less", spray.show(VolumeUnit::Litre)),
                    )
                    .expected(format!("no more left of it than {}", held.show(VolumeUnit::Litre)))
                    .mend("correct the fill, or tell what was left of it too: `nothing = true` where nothing was")
                    .at(told.map_or_else(|| at.to_owned(), |index| format!("{at}.tank[{}]", index + 1))),
                );
                continue;
            };
            left.products = parts_of(&fill, spray.ratio(held));
            // What else is told of the task that put it down holds beside.
            if let Fact::Recorded(Became::Applied(id)) = &left.became {
                self.mixed.push((id.clone(), left.products.clone()));
            }
        }
    }

    /// All that was left of a product is no more than all that was filled of it.
    fn within_what_was_filled(&self, task: &TaskRecord, at: &str, problems: &mut Problems) {
        for (index, product) in task.products.iter().enumerate() {
            let of_task = self.left.iter().filter(|left| left.task == task.id);
            let left = sum(product, of_task.filter_map(|left| left.products.get(index)));
            let fills = task.tanks.iter().filter_map(|tank| tank.filled.as_ref());
            let filled = if task.tanks.is_empty() {
                product.amount
            } else {
                sum(product, fills.filter_map(|fill| fill.products.get(index)))
            };
            let nothing = product.amount.scaled(0.0);
            if left == nothing || left.ratio(filled).is_some_and(|share| share <= 1.0 + HAIR) {
                continue;
            }
            problems.push(
                Problem::error(
                    "as-applied::leftover-too-much",
                    format!("more of {} is left than was filled", product.name),
                )
                .expected("at most what its tanks or loads held, over all that was left of them")
                .mend("correct the amounts left, or that of a tank or load")
                .at(format!("{at}.leftover")),
            );
        }
    }

    fn take_out(&mut self, is_meant: impl Fn(&Leftover) -> bool) {
        let gone = &mut self.gone;
        self.left.retain(|left| {
            let stays = !is_meant(left);
            if let (false, Fact::Recorded(Became::Applied(task))) = (stays, &left.became) {
                gone.push(task.clone());
            }
            stays
        });
    }

    /// Whether a task of the record put down what is now told to have been otherwise.
    pub(crate) fn put_down_no_more(&self, task: &str) -> bool {
        self.gone.iter().any(|gone| gone == task)
    }

    /// Puts what was left into the record.
    pub(crate) fn into_record(self, record: &mut ApplicationRecord) {
        for (id, amounts) in &self.mixed {
            let put_down = record.tasks.iter_mut().filter(|task| task.id == *id);
            for (product, amount) in put_down.flat_map(|task| &mut task.products).zip(amounts) {
                product.amount = *amount;
            }
        }
        record.tasks.retain(|task| !self.gone.contains(&task.id));
        record.tasks.extend(self.further);
        if !self.left.is_empty() {
            record.leftover = Fact::Recorded(self.left);
        } else if self.is_nothing {
            record.leftover = Fact::DoesNotArise;
        } else if record.leftover.value().is_some() {
            record.leftover = Fact::Absent;
        }
    }
}

pub(crate) fn is_nothing(left: &ActualLeftover) -> bool {
    left.left == Left::Nothing
}

/// The number of the last tank that was filled.
fn last_filled(task: &TaskRecord) -> Option<usize> {
    task.tanks.iter().rposition(|tank| tank.filled.is_some()).map(|index| index + 1)
}

/// The tank of which it was left.
fn tank_of(left: &Leftover, task: &TaskRecord) -> Option<usize> {
    left.tank.or_else(|| last_filled(task))
}

fn parts_of(fill: &Fill, share: f64) -> Vec<Amount> {
    fill.products.iter().map(|amount| amount.scaled(share)).collect()
}

fn sum<'a>(product: &ProductRecord, amounts: impl Iterator<Item = &'a Amount>) -> Amount {
    amounts.fold(product.amount.scaled(0.0), |sum, amount| sum.checked_add(*amount).unwrap_or(sum))
}

/// What was left of a task, in one of its tanks or in the last, and the further task that put it down, if one did.
fn left_over(
    task: &TaskRecord,
    tank: Option<usize>,
    left: &ActualLeftover,
    at: &str,
    problems: &mut Problems,
) -> Option<(Leftover, Option<TaskRecord>)> {
    let number = tank.or_else(|| last_filled(task));
    let last = number.and_then(|number| task.tanks.get(number.checked_sub(1)?)?.filled.as_ref());
    let (spray, products) = match &left.left {
        Left::Spray(spray) => {
            let mixed = last.and_then(|fill| Some((fill.spray?, fill)));
            let Some((mixed, fill)) = mixed else {
                problems.push(not_sprayed(task).at(format!("{at}.spray")));
                return None;
            };
            if *spray > mixed {
                problems.push(
                    Problem::error("as-applied::leftover-too-much", "more is left than the tank held")
                        .expected(format!("at most {}", mixed.show(VolumeUnit::Litre)))
                        .mend("correct the spray left, or the fill of the tank")
                        .at(format!("{at}.spray")),
                );
                return None;
            }
            (Some(*spray), parts_of(fill, spray.ratio(mixed)))
        }
        Left::Nothing => return None,
        Left::Products(amounts) => {
            let mut products: Vec<Amount> = task.products.iter().map(|product| product.amount.scaled(0.0)).collect();
            for (index, (label, amount)) in amounts.iter().enumerate() {
                let at = format!("{at}.product[{}]", index + 1);
                put_amount(&task.products, task, &mut products, label, *amount, &at, problems);
            }
            (None, products)
        }
    };
    let leftover = Leftover { task: task.id.clone(), tank, spray, products, became: Fact::Absent };
    let told = |became| Leftover { became: Fact::Recorded(became), ..leftover.clone() };
    Some(match &left.became {
        LeftoverUse::NotSaid => (leftover, None),
        LeftoverUse::Kept(words) => (told(Became::Kept(words.clone())), None),
        LeftoverUse::HandedIn(words) => (told(Became::HandedIn(words.clone())), None),
        LeftoverUse::Other(words) => (told(Became::Other(words.clone())), None),
        LeftoverUse::Applied { ground, site } => {
            let further = put_elsewhere(task, &leftover, ground, *site);
            let became = Fact::Recorded(Became::Applied(further.id.clone()));
            (Leftover { became, ..leftover }, Some(further))
        }
    })
}

/// The further task that put a leftover on other ground.
fn put_elsewhere(task: &TaskRecord, leftover: &Leftover, ground: &geometry::Region, site: label::Site) -> TaskRecord {
    let of_tank = leftover.tank.map_or_else(String::new, |number| format!("-tank-{number}"));
    let id = format!("{}{of_tank}-leftover", task.id);
    let products = task.products.iter().zip(&leftover.products);
    TaskRecord {
        zones: vec![TreatedZone { id: id.clone(), kind: kind_of_site(site), ground: ground.clone() }],
        ground: ground.area(),
        wall: Area::ZERO,
        places: Fact::DoesNotArise,
        sites: Fact::Recorded(vec![site]),
        products: products
            .map(|(product, amount)| ProductRecord { amount: *amount, use_row: Fact::Absent, ..product.clone() })
            .collect(),
        carrier: leftover.spray.map_or(Fact::DoesNotArise, Fact::Recorded),
        tanks: Vec::new(),
        id,
        ..task.clone()
    }
}

const fn kind_of_site(site: label::Site) -> ZoneKind {
    use label::Site;
    match site {
        Site::Turf => ZoneKind::Turf,
        Site::Ornamental | Site::Tree => ZoneKind::Ornamental,
        Site::FoodCrop => ZoneKind::Edible,
        Site::StructurePerimeter | Site::EntryPoint => ZoneKind::Band,
        Site::BareSoil => ZoneKind::BareSoil,
        Site::Impervious => ZoneKind::Paved,
    }
}
