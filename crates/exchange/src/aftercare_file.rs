//! The care between visits in a visit request: `[efficacy]`, `[watering]`, `[[joint]]`.

use crate::quantity_field as quantity_of;
use crate::toml_source::{Field, Source, Table};
use problem::{Problem, Problems};
use scouting::{CountBasis, Counts, EfficacyCounts, EfficacyTrial, GroundCounts};
use season::aftercare::{Aftercare, LastTreatment, Watering};
use season::sealing::Joint;
use season::watering::CatchCans;

/// The care between visits that a visit request states. The rest of the request is left to
/// [`crate::visit_file::parse_visit`].
///
/// # Errors
/// Everything wrong in these parts of the file.
pub fn parse_aftercare(file: &str, text: &str) -> Result<Aftercare, Problems> {
    let source = Source::parse(file, text)?;
    let care = read_aftercare(&source.root());
    source.into_problems().unless_errors(care).map(|(care, _)| care)
}

/// Reads the care between visits from a visit request; what is not there stays absent.
pub(crate) fn read_aftercare(request: &Table<'_>) -> Aftercare {
    Aftercare {
        efficacy: request.table("efficacy").and_then(efficacy),
        watering: request.table("watering").and_then(watering),
        joints: request.tables("joint").into_iter().filter_map(joint).collect(),
    }
}

fn report_all(table: &Table<'_>, problems: Problems) {
    for problem in problems {
        table.report(Problem { place: problem::Place::default(), ..problem });
    }
}

/// The counts of one field, one a station, and all of them added up.
fn counted(table: &Table<'_>, key: &'static str) -> Option<(Option<Counts>, u32)> {
    let counts: Vec<u32> = table.required(key)?.each(Field::whole)?;
    let total: u64 = counts.iter().copied().map(u64::from).sum();
    let fits = u32::try_from(total).ok();
    if fits.is_none() {
        table.report(
            Problem::error("visit::count", format!("the counts add up to {total}"))
                .expected(format!("at most {}", u32::MAX))
                .at(table.path_of(key)),
        );
    }
    // On what they were made is the same for all of them, and makes no difference to a share.
    let counts = Counts::new(counts, CountBasis::Plant).ok().map(|(counts, _)| counts);
    Some((counts, fits?))
}

fn efficacy(table: Table<'_>) -> Option<LastTreatment> {
    let of = |key| counted(&table, key);
    let ground = [(of("treated_before"), of("treated_after")), (of("check_before"), of("check_after"))];
    table.finish();
    let [treated, check] = ground;
    let ((treated_before, treated_after), (check_before, check_after)) =
        ((treated.0?, treated.1?), (check.0?, check.1?));
    let totals = EfficacyCounts {
        treated_before: treated_before.1,
        treated_after: treated_after.1,
        check_before: check_before.1,
        check_after: check_after.1,
    };
    let of = |before, after| GroundCounts { before, after, dead: None };
    let trial =
        EfficacyTrial { treated: of(treated_before.0, treated_after.0), check: of(check_before.0, check_after.0) };
    Some(LastTreatment { totals, trial })
}

fn watering(table: Table<'_>) -> Option<Watering> {
    let cans: Option<Vec<_>> = table.required("cans").and_then(|field| field.each(quantity_of::length));
    let run = table.required("run").and_then(|field| quantity_of::duration(&field));
    let target = table.required("target").and_then(|field| quantity_of::length(&field));
    let rain = match table.optional("effective_rain") {
        Some(field) => quantity_of::length(&field),
        None => Some(quantity::Length::ZERO),
    };
    let runoff = table.required("time_to_runoff").and_then(|field| quantity_of::duration(&field));
    let cans = cans.zip(run).and_then(|(cans, run)| match CatchCans::new(cans, run) {
        Ok(cans) => Some(cans),
        Err(problems) => {
            report_all(&table, problems);
            None
        }
    });
    table.finish();
    Some(Watering { cans: cans?, target: target?, effective_rain: rain?, time_to_runoff: runoff? })
}

fn joint(table: Table<'_>) -> Option<Joint> {
    let size = |key| table.required(key).and_then(|field| quantity_of::length(&field));
    let (length, width, depth) = (size("length"), size("width"), size("depth"));
    let sizes = length.zip(width).zip(depth);
    let joint = sizes.and_then(|((length, width), depth)| match Joint::new(length, width, depth) {
        Ok(joint) => Some(joint),
        Err(problems) => {
            report_all(&table, problems);
            None
        }
    });
    table.finish();
    joint
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn codes(text: &str) -> Vec<(&'static str, Option<String>)> {
        let problems = parse_aftercare("visit.toml", text).expect_err(text);
        problems.iter().map(|problem| (problem.code, problem.place.path.clone())).collect()
    }

    fn at(code: &'static str, path: &str) -> (&'static str, Option<String>) {
        (code, Some(path.to_owned()))
    }

    #[test]
    fn counts_too_many_to_add_up_are_reported() {
        let text = "[efficacy]\ntreated_before = [4294967295, 1]\ntreated_after = [4294967295]\n\
            check_before = [3, 4]\ncheck_after = [5]\n";
        assert_eq!(codes(text), [at("visit::count", "efficacy.treated_before")]);
        let fits = text.replace("[4294967295, 1]", "[4294967294, 1]");
        let last = parse_aftercare("visit.toml", &fits).expect("counts").efficacy.expect("efficacy");
        let totals = last.totals;
        assert_eq!((totals.treated_before, totals.treated_after, totals.check_before), (u32::MAX, u32::MAX, 7));
        assert_eq!(last.trial.check.before.map(|counts| counts.stations()), Some(2));
    }

    /// A field that is missing does not hide one that is misspelt.
    #[test]
    fn missing_and_unknown_fields_are_reported_together() {
        assert_eq!(
            codes("[efficacy]\ntreated_befor = [1]\ntreated_after = [1]\ncheck_before = [1]\ncheck_after = [1]\n"),
            [at("toml::missing-field", "efficacy"), at("toml::unknown-field", "efficacy.treated_befor")]
        );
        assert_eq!(
            codes("[watering]\ncan = [\"0.2 in\"]\nrun = \"15 min\"\ntarget = \"1 in\"\ntime_to_runoff = \"9 min\"\n"),
            [at("toml::missing-field", "watering"), at("toml::unknown-field", "watering.can")]
        );
        assert_eq!(
            codes("[[joint]]\nlenght = \"3 ft\"\nwidth = \"1/4 in\"\ndepth = \"1/4 in\"\n"),
            [at("toml::missing-field", "joint[1]"), at("toml::unknown-field", "joint[1].lenght")]
        );
    }
}
