//! The k that the profile of a pest publishes, and whether it is one of counts like these.

use pest::Profile;
use problem::Problem;

use crate::count::{CountBasis, Counts};
use crate::dispersion::{COUNTS_TO_FIT, ClumpingK};

/// Areas of a count that differ by no more than this share count as one: k goes with the area, and changes by about as much
/// at most. Common practice, no source.
const SAME_AREA: f64 = 0.1;

/// The k of a profile for counts, and what is to be said of it. It is left out for counts on another area, or on no ground;
/// counts that tell k themselves do not go by it, and nothing is said.
pub fn k_of_profile(profile: &Profile, counts: &Counts) -> (Option<ClumpingK>, Option<Problem>) {
    let Some(published) = &profile.dispersion else { return (None, None) };
    let (told, source) = (&published.what, profile.source(&published.source));
    let is_same = match counts.basis() {
        CountBasis::Area(area) => (area.ratio(told.unit_area) - 1.0).abs() <= SAME_AREA,
        _ => false,
    };
    let k = ClumpingK::new(told.k).filter(|_| is_same);
    if counts.tells_k() {
        return (k, None);
    }
    let of = format!("`{:.2}`, is of counts on {} ({}, {})", told.k, told.unit_words, told.place, told.host);
    let mend = format!("state a k from one's own earlier counts, or count at {COUNTS_TO_FIT} stations or more");
    let said = if is_same {
        let cite = source.map_or_else(String::new, |source| format!("; {}", source.cite));
        Problem::warning(
            "scouting::k-of-profile",
            format!("the k of the profile, by which the stop lines go, {of}{cite}"),
        )
        .expected("a k of such ground as was counted here: on other ground it is another, and the lines err otherwise")
    } else {
        Problem::warning(
            "scouting::k-of-other-area",
            format!("the k of the profile, {of}, and these counts are `{}`: it is left out", counts.basis().words()),
        )
        .expected(format!("counts on {}, or a k of counts like these", told.unit_words))
    };
    (k, Some(said.mend(mend)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use pest::{Cited, Clumping, PestKind};
    use quantity::{Area, AreaUnit};

    fn feet(value: f64) -> Area {
        Area::new(value, AreaUnit::SquareFoot)
    }

    /// A profile with a k of 1.5 of counts on a square foot.
    fn profile() -> Profile {
        let clumping = Clumping {
            k: 1.5,
            unit_area: feet(1.0),
            unit_words: "1 sq ft".into(),
            place: "nowhere".into(),
            host: "invented ground".into(),
            note: None,
        };
        Profile {
            id: "invented".into(),
            kind: PestKind::Insect,
            common_name: "invented".into(),
            scientific_name: None,
            eppo_code: None,
            group: "invented".into(),
            summary: "Invented.".into(),
            sources: Vec::new(),
            characters: Vec::new(),
            stages: Vec::new(),
            signs: Vec::new(),
            samplings: Vec::new(),
            thresholds: Vec::new(),
            dispersion: Some(Cited { what: clumping, source: "a".into() }),
            development: None,
            enemies: Vec::new(),
            culture: Vec::new(),
            never: Vec::new(),
            look_alikes: Vec::new(),
        }
    }

    #[test]
    fn a_k_of_one_area_is_not_taken_for_counts_on_another() {
        let of = |basis: CountBasis, counts: Vec<u32>| {
            let (k, said) = k_of_profile(&profile(), &Counts::new(counts, basis).unwrap().0);
            (k.map(ClumpingK::value), said.map(|one| one.code))
        };
        let few = || vec![2, 0, 5, 1];
        // A frame of 0.3 m holds 0.97 sq ft.
        let frame = CountBasis::Area(Area::new(0.09, AreaUnit::SquareMetre));
        for same in [CountBasis::Area(feet(1.0)), frame] {
            assert_eq!(of(same, few()), (Some(1.5), Some("scouting::k-of-profile")), "{same:?}");
        }
        let other = [0.2, 0.89, 1.12, 9.0].map(|area| CountBasis::Area(feet(area)));
        for other in other.into_iter().chain([CountBasis::Flush, CountBasis::Trap, CountBasis::Mounds(feet(1.0))]) {
            assert_eq!(of(other, few()), (None, Some("scouting::k-of-other-area")), "{other:?}");
        }
        // Enough counts go by themselves.
        let many = || [2, 0, 5, 1, 7].repeat(3);
        assert_eq!(of(CountBasis::Area(feet(1.0)), many()), (Some(1.5), None));
        assert_eq!(of(CountBasis::Area(feet(0.2)), many()), (None, None));
        let silent = Profile { dispersion: None, ..profile() };
        let counts = Counts::new(few(), CountBasis::Flush).unwrap().0;
        assert_eq!(k_of_profile(&silent, &counts), (None, None));
    }
}
