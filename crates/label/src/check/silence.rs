//! Subjects that matter for a use and of which the label says nothing.

use crate::constraint::{BufferedFeature, Constraints};
use crate::product::Label;
use crate::use_row::{Claim, Method, UseRow};
use problem::Problem;

type Speaks = fn(&Constraints) -> bool;

struct Subject {
    key: &'static str,
    name: &'static str,
    matters: fn(&UseRow) -> bool,
    speaks: Speaks,
    then: &'static str,
}

const SUBJECTS: &[Subject] = &[
    Subject {
        key: "wind",
        name: "wind",
        matters: |row| row.method.is_sprayed() && row.method != Method::CrackAndCrevice,
        speaks: |said| !said.wind.is_silent(),
        then: "default limits are used, with a caution",
    },
    Subject {
        key: "temperature",
        name: "air temperature",
        matters: |row| row.method.is_sprayed() && row.method != Method::CrackAndCrevice,
        speaks: |said| !said.temperature.is_silent(),
        then: "no hour is rejected for heat or cold, with a caution",
    },
    Subject {
        key: "not_during_rain",
        name: "application during rain",
        matters: |row| row.method != Method::Injection && row.method != Method::BaitStation,
        speaks: |said| !said.not_during_rain.is_silent(),
        then: "hours with rain are rejected by default, with a caution",
    },
    Subject {
        key: "rain_free",
        name: "the time without rain after the application",
        matters: |row| row.method.is_sprayed() || row.method == Method::BaitBroadcast,
        speaks: |said| !said.rain_free.is_silent(),
        then: "a default time is used, with a caution",
    },
    Subject {
        key: "irrigation",
        name: "irrigation after the application",
        matters: |row| row.method != Method::Injection && row.method != Method::BaitStation,
        speaks: |said| !said.irrigation.is_silent(),
        then: "no date for the first irrigation can be given",
    },
    Subject {
        key: "keep_off",
        name: "keeping people and pets off",
        matters: |_| true,
        speaks: |said| !said.keep_off.is_silent() || !said.restricted_entry.is_silent(),
        then: "people and pets are kept off until the surface has dried, with a caution",
    },
    Subject {
        key: "ppe",
        name: "protective equipment",
        matters: |_| true,
        speaks: |said| !said.ppe.is_empty(),
        then: "the work sheet asks the person to decide before mixing",
    },
    Subject {
        key: "buffer",
        name: "a distance to water",
        matters: |row| row.method != Method::Injection,
        speaks: |said| {
            said.buffers.iter().any(|buffer| buffer.value().is_none_or(|b| b.feature == BufferedFeature::Water))
        },
        then: "only the distances of the business are kept, with a caution",
    },
    Subject {
        key: "bloom",
        name: "plants in bloom",
        matters: |row| row.method.is_sprayed(),
        speaks: |said| !said.bloom.is_silent(),
        then: "plants in bloom are left out by default, with a caution",
    },
    Subject {
        key: "cap",
        name: "a most per area and year",
        matters: |_| true,
        speaks: |said| !said.caps.is_empty(),
        then: "what may still be applied cannot be counted, with a caution",
    },
    Subject {
        key: "maximum_applications",
        name: "the number of applications",
        matters: |_| true,
        speaks: |said| !said.maximum_applications.is_silent(),
        then: "the number is not limited, with a caution",
    },
    Subject {
        key: "minimum_interval_days",
        name: "the days between applications",
        matters: |_| true,
        speaks: |said| !said.minimum_interval_days.is_silent(),
        then: "no date for a repeat can be proved, with a caution",
    },
    Subject {
        key: "carrier",
        name: "the spray volume per area",
        matters: |row| matches!(row.method, Method::Broadcast | Method::Perimeter),
        speaks: |said| !said.carrier.is_silent(),
        then: "any calibrated volume is taken, with a caution",
    },
];

pub(super) fn check(label: &Label, list: &mut Vec<Problem>) {
    for subject in SUBJECTS {
        if (subject.speaks)(&label.restraints) {
            continue;
        }
        let concerned: Vec<&UseRow> = label.uses.iter().filter(|row| (subject.matters)(row)).collect();
        let silent: Vec<&UseRow> =
            concerned.iter().filter(|row| !(subject.speaks)(&row.constraints)).copied().collect();
        let Some(first) = silent.first() else { continue };
        let (whom, path) = if silent.len() == concerned.len() {
            (String::new(), "restraints".to_owned())
        } else {
            let names: Vec<String> = silent.iter().map(|row| format!("`{}`", row.id)).collect();
            let index = label.uses.iter().position(|row| std::ptr::eq(row, *first)).unwrap_or(0);
            (format!(" for {}", names.join(", ")), super::use_path(index))
        };
        push(
            list,
            format!("the label is silent on {}{whom}", subject.name),
            subject.then,
            format!("{path}.{}", subject.key),
        );
    }
    for (index, row) in label.uses.iter().enumerate() {
        let path = super::use_path(index);
        let mut silent = |is: bool, name: &str, key: &str, then: &str| {
            if is {
                push(list, format!("use `{}` is silent on {name}", row.id), then, format!("{path}.{key}"));
            }
        };
        let then = "none is treated beyond what a person decides";
        silent(
            row.method == Method::Perimeter && row.band_width.is_silent(),
            "the width of the band",
            "band_width",
            then,
        );
        silent(
            row.method == Method::Perimeter && row.wall_height.is_silent(),
            "the height on the wall",
            "wall_height",
            then,
        );
        silent(
            row.method == Method::CrackAndCrevice && row.entry_point_width.is_silent(),
            "the width along entry points",
            "entry_point_width",
            then,
        );
        silent(row.method == Method::Spot && row.spot_area.is_silent(), "the size of a spot", "spot_area", then);
        silent(
            row.preventive.is_silent() && row.pests.iter().any(|pest| pest.claim == Claim::Preventive),
            "use before the pest is there, which it claims for some pest",
            "preventive",
            "it is not used so",
        );
        silent(
            row.maximum_single.is_silent(),
            "the most that one application may put on a place",
            "maximum_single",
            "the highest rate is taken for it",
        );
    }
}

fn push(list: &mut Vec<Problem>, found: String, then: &str, path: String) {
    list.push(
        Problem::warning("label::silent", found)
            .mend(format!("add what the printed label says; if it says nothing, leave it: {then}"))
            .at(path),
    );
}
