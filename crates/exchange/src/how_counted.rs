//! On what counts were made, as surveys and requests tell it: the ground of one count, or what else it was made on, and the
//! method.

use problem::Problem;
use quantity::Area;
use scouting::CountBasis;

/// How counts were made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HowCounted<'s> {
    /// The method, in words.
    pub method: &'s str,
    /// The ground of one count.
    pub area: Option<Area>,
    /// What else one count was made on, such as `flush` or `3 trap nights`.
    pub per: Option<&'s str>,
}

/// The fields of surveys and findings that tell it.
pub(crate) const AREA_FIELD: &str = "count_area";
pub(crate) const PER_FIELD: &str = "count_per";

impl HowCounted<'_> {
    /// Whether live mounds were counted, and not animals: the method says so.
    pub fn counts_mounds(&self) -> bool {
        says(self.method, &["mound", "mounds"])
    }

    /// The ways in which they were made at once, that of the ground first: a flush on known ground is counted by the flush as
    /// well.
    ///
    /// # Errors
    /// What is wrong with it, at the field that has to be mended: nothing to count on, ground told beside the ground, mounds
    /// without ground.
    pub fn ways(&self) -> Result<Vec<CountBasis>, Problem> {
        let per = self.per.map(CountBasis::parse).transpose().map_err(|problem| problem.at(PER_FIELD))?;
        if let Some(CountBasis::Area(_)) = per {
            return Err(Problem::error(
                "survey::count-per",
                "the ground of one count is told as what else it was made on",
            )
            .expected("`flush`, `trap`, `3 trap nights`, `100 ft of drag` or `plant`")
            .mend("write an area as `count_area`")
            .at(PER_FIELD));
        }
        let Some(area) = self.area else {
            if self.counts_mounds() {
                return Err(no_area("mounds are counted on ground, and nobody says on how much")
                    .mend("write the area of the lawn, or of the part that was walked, such as `count_area = \"6,320 sq ft\"`"));
            }
            return per
                .map(|per| vec![per])
                .ok_or_else(|| no_area("nobody says on what one count was made").mend("add the area, or `count_per`"));
        };
        if !area.is_positive() {
            return Err(no_area("one count covers no ground"));
        }
        if self.counts_mounds() {
            return match per {
                None => Ok(vec![CountBasis::Mounds(area)]),
                Some(_) => Err(Problem::error("survey::count-per", "mounds are counted on ground alone")
                    .expected("`count_area` without `count_per`")
                    .at(PER_FIELD)),
            };
        }
        let flush = says(self.method, &["flush", "flushes", "drench"]).then_some(CountBasis::Flush);
        Ok(std::iter::once(CountBasis::Area(area)).chain(per.or(flush)).collect())
    }
}

fn no_area(found: &str) -> Problem {
    Problem::error("survey::count-area", found)
        .expected("an area above zero, such as `1 sq ft`, or `count_per`, such as `flush`")
        .at(AREA_FIELD)
}

fn says(method: &str, words: &[&str]) -> bool {
    let method = method.to_lowercase();
    method.split(|letter: char| !letter.is_alphanumeric()).any(|word| words.contains(&word))
}

/// What one count was made on, as it was written.
pub(crate) fn one_count(area: Option<&str>, per: Option<&str>) -> String {
    match (area, per) {
        (Some(area), _) => area.to_owned(),
        (None, Some(per)) => per.to_owned(),
        (None, None) => "nothing told".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::AreaUnit;

    fn ways(method: &str, feet: Option<f64>, per: Option<&str>) -> Result<Vec<String>, &'static str> {
        let area = feet.map(|feet| Area::new(feet, AreaUnit::SquareFoot));
        let found = HowCounted { method, area, per }.ways();
        found.map(|ways| ways.into_iter().map(CountBasis::words).collect()).map_err(|problem| problem.code)
    }

    #[test]
    fn method_ground_and_what_else_tell_the_ways() {
        let told = |method, feet, per| ways(method, feet, per).unwrap().join(", ");
        assert_eq!(told("frame", Some(1.0), None), "per 1 sq ft");
        assert_eq!(told("Soap flush", Some(4.0), None), "per 4 sq ft, per flush");
        assert_eq!(told("drench", None, Some("flush")), "per flush");
        assert_eq!(told("drag", Some(900.0), Some("300 ft of drag")), "per 900 sq ft, per 300 ft of drag");
        assert_eq!(told("pitfall", None, Some("3 trap nights")), "per 3 trap nights");
        assert_eq!(told("mounds", Some(43_560.0), None), "mounds per 1 acre");
    }

    #[test]
    fn what_leaves_it_open_is_refused() {
        assert_eq!(ways("frame", None, None), Err("survey::count-area"));
        assert_eq!(ways("frame", Some(0.0), None), Err("survey::count-area"));
        assert_eq!(ways("mounds", None, Some("plant")), Err("survey::count-area"));
        assert_eq!(ways("mounds", Some(9.0), Some("plant")), Err("survey::count-per"));
        assert_eq!(ways("frame", None, Some("1 sq ft")), Err("survey::count-per"));
        assert_eq!(ways("frame", None, Some("bucket")), Err("scouting::count-basis"));
    }
}
