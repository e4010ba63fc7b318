//! What was found, and who applies.

use crate::quantity_field as quantity_of;
use crate::toml_source::Table;
use problem::Problem;
use treatment::{Applicator, FindingRequest, Threshold};

pub(super) fn read_applicator(table: Table<'_>) -> Option<Applicator> {
    let name = table.required("name").and_then(|field| field.text());
    let certification = table.optional("certification").and_then(|field| field.text()).map(str::to_owned);
    let certified = table
        .required_as("certified", "whether the person is certified for this kind of work, `true` or `false`")
        .and_then(|field| field.flag());
    table.finish();
    Some(Applicator { name: name?.to_owned(), certification, certified: certified? })
}

pub(super) fn read_finding(table: Table<'_>) -> Option<FindingRequest> {
    let pest = table.required_as("pest", "its common name, such as `chinch bug`").and_then(|field| field.text());
    let stage = table.optional("stage").and_then(|field| field.text()).map(str::to_owned);
    let basis = table.required_as("basis", "how it was identified").and_then(|field| field.text());
    let identified_by = table.optional("identified_by").and_then(|field| field.text()).map(str::to_owned);
    let counts: Option<Vec<u32>> = match table.optional("counts") {
        Some(list) => list.each(crate::toml_source::Field::whole),
        None => Some(Vec::new()),
    };
    let count_area = table.optional("count_area");
    let area = count_area.as_ref().and_then(|field| {
        let area = quantity_of::area(field)?;
        if area.is_positive() {
            return Some(area);
        }
        field.report(Problem::error("visit::count-area", "one count covers no ground").expected("an area above zero"));
        None
    });
    if count_area.is_none() && counts.as_ref().is_none_or(|counts| !counts.is_empty()) {
        table.report(
            Problem::error("visit::no-count-area", "`count_area` is missing beside `counts`")
                .expected("the area that one count covers, such as `count_area = \"1 sq ft\"`")
                .mend("add the area of the frame or can, or take the counts away")
                .at(table.path_of("count_area")),
        );
    }
    let threshold = table.table("threshold").map(read_threshold);
    let preventive = table.optional("preventive").map_or(Some(false), |field| field.flag());
    table.finish();
    Some(FindingRequest {
        pest: pest?.to_lowercase(),
        stage,
        basis: basis?.to_owned(),
        identified_by,
        counts: counts?,
        count_area: area,
        threshold: threshold.map_or(Some(None), |threshold| threshold.map(Some))?,
        preventive: preventive?,
    })
}

fn read_threshold(table: Table<'_>) -> Option<Threshold> {
    let count = table.required_as("count", "so many of the pest").and_then(|field| field.number_between(0.0, 1e9));
    let area_field = table.required_as("area", "on so much ground, such as `1 sq ft`");
    let area = area_field.as_ref().and_then(quantity_of::area);
    if let (Some(field), Some(area)) = (&area_field, area)
        && !area.is_positive()
    {
        field.report(
            Problem::error("visit::threshold-area", "the threshold covers no ground").expected("an area above zero"),
        );
    }
    let source = table.required_as("source", "the publication that states it").and_then(|field| field.text());
    table.finish();
    Some(Threshold { count: count?, area: area?, source: source?.to_owned() })
}
