//! Which rows permit a treatment, and what changed between two versions of a label.

mod support;

use label::{Claim, Fit, Method, Reason, Site, differences, rows_for};
use support::{a, hours, stated, wind};

fn reason(fit: &Fit) -> Option<Reason> {
    match fit {
        Fit::Rejected(rejection) => Some(rejection.reason),
        _ => None,
    }
}

#[test]
fn site_pest_and_method_decide() {
    let label = a();
    let answer = |site, pest, method| rows_for(&label, site, pest, method).remove(0).fit;
    let listed = Fit::Listed { claim: Claim::Control, stages: vec!["nymph".to_owned()] };
    assert_eq!(answer(Site::Turf, "Chinch Bug", Method::Broadcast), listed);
    // Unlisted pest on a listed site: permitted with a caution (FIFRA section 2(ee)).
    assert_eq!(answer(Site::Turf, "billbug", Method::Broadcast), Fit::UnlistedPest);
    // Unlisted site: refused.
    assert_eq!(reason(&answer(Site::Tree, "chinch bug", Method::Broadcast)), Some(Reason::SiteNotListed));
    assert_eq!(reason(&answer(Site::FoodCrop, "chinch bug", Method::Broadcast)), Some(Reason::FoodPlants));
    assert_eq!(reason(&answer(Site::Turf, "fire ant", Method::Broadcast)), Some(Reason::PestExcluded));
    assert_eq!(reason(&answer(Site::Turf, "chinch bug", Method::Drench)), Some(Reason::MethodNotListed));
}

/// A label writes `ants`, and excludes fire ants: the closer word decides, for kinds of either.
#[test]
fn the_general_word_of_a_label_names_its_kinds() {
    let mut label = a();
    let row = &mut label.uses[0];
    row.pests[0].pest = "ants".to_owned();
    row.pests_excluded = vec!["fire ants".to_owned()];
    let answer = |label: &label::Label, pest| rows_for(label, Site::Turf, pest, Method::Broadcast).remove(0).fit;
    assert!(matches!(answer(&label, "carpenter ant"), Fit::Listed { .. }));
    assert_eq!(reason(&answer(&label, "red imported fire ant")), Some(Reason::PestExcluded));
    assert!(matches!(answer(&label, "ant"), Fit::Listed { .. }));
    // Where it claims the kind itself, that is closer than what it excludes.
    label.uses[0].pests[0].pest = "red imported fire ant".to_owned();
    assert!(matches!(answer(&label, "red imported fire ant"), Fit::Listed { .. }));
    assert_eq!(answer(&label, "carpenter ant"), Fit::UnlistedPest);
    label.uses[0].only_these_pests = true;
    assert_eq!(reason(&answer(&label, "ant")), Some(Reason::OnlyListedPests));
}

/// A sentence that permits prevention against grubs permits it against a kind of them.
#[test]
fn prevention_against_a_general_word_holds_for_its_kinds() {
    let mut label = a();
    let row = &mut label.uses[0];
    row.pests[0].pest = "grubs".to_owned();
    row.pests[0].claim = Claim::Preventive;
    row.preventive = stated(label::PreventiveUse::Permitted, "May be used before they hatch.");
    assert!(row.permits_prevention("japanese beetle grub").is_some() && row.permits_prevention("grub").is_some());
    assert!(row.permits_prevention("chinch bug").is_none());
    // The closer claim is the one that holds.
    let mut closer = row.pests[0].clone();
    closer.pest = "japanese beetle grub".to_owned();
    closer.claim = Claim::Suppression;
    row.pests.push(closer);
    assert!(row.permits_prevention("japanese beetle grub").is_none());
    assert!(row.permits_prevention("may beetle grub").is_some());
}

#[test]
fn an_unlisted_pest_is_warned_of_with_the_reason() {
    let label = a();
    let rows = rows_for(&label, Site::Turf, "billbug", Method::Broadcast);
    assert!(rows[0].is_permitted());
    let caution = rows[0].caution().unwrap();
    assert!(caution.contains("FIFRA section 2(ee)") && caution.contains("check the state"));
}

#[test]
fn the_label_may_keep_to_its_pests() {
    let mut label = a();
    label.uses[0].only_these_pests = true;
    let rows = rows_for(&label, Site::Turf, "billbug", Method::Broadcast);
    assert_eq!(reason(&rows[0].fit), Some(Reason::OnlyListedPests));
}

#[test]
fn a_restraint_rejects_with_its_own_sentence() {
    let mut label = a();
    label.restraints.prohibited_sites = vec![stated(Site::Turf, "Not on lawns.")];
    label.restraints.prohibited_methods = vec![stated(Method::Broadcast, "No broadcast.")];
    let rows = rows_for(&label, Site::Turf, "chinch bug", Method::Broadcast);
    let Fit::Rejected(rejection) = &rows[0].fit else { panic!("permitted") };
    assert_eq!((rejection.reason, rejection.clause.text.as_str()), (Reason::SiteProhibited, "Not on lawns."));
    label.restraints.prohibited_sites.clear();
    let rows = rows_for(&label, Site::Turf, "chinch bug", Method::Broadcast);
    let Fit::Rejected(rejection) = &rows[0].fit else { panic!("permitted") };
    assert_eq!((rejection.reason, rejection.clause.text.as_str()), (Reason::MethodProhibited, "No broadcast."));
}

#[test]
fn permitted_rows_come_first() {
    let mut label = a();
    let mut trees = label.uses[0].clone();
    trees.id = "trees".to_owned();
    trees.sites = vec![Site::Tree];
    label.uses.insert(0, trees);
    let rows = rows_for(&label, Site::Turf, "chinch bug", Method::Broadcast);
    let ids: Vec<&str> = rows.iter().map(|row| row.row.id.as_str()).collect();
    assert_eq!(ids, ["turf", "trees"]);
}

/// An older container: its own text governs, the differences are shown, the two are never blended.
#[test]
fn versions_are_compared_and_not_blended() {
    let older = a();
    let mut newer = a();
    assert!(differences(&older, &newer).is_empty());
    newer.restraints.wind = stated(wind(Some(3.0), Some(8.0), true), "Wind 3 to 8 mph, gusts included.");
    newer.restraints.rain_free = stated(hours(4.0), "No rain for 4 hours.");
    newer.restraints.ppe.clear();
    let mut trees = newer.uses[0].clone();
    trees.id = "trees".to_owned();
    newer.uses.push(trees);
    let before = (older.clone(), newer.clone());
    let found = differences(&older, &newer);
    let subjects: Vec<(&str, Option<&str>, Option<&str>)> = found
        .iter()
        .map(|difference| (difference.subject.as_str(), difference.older.as_deref(), difference.newer.as_deref()))
        .collect();
    assert_eq!(
        subjects,
        [
            ("restraints.rain_free", None, Some("No rain for 4 hours. (mandatory)")),
            (
                "restraints.wind",
                Some("Wind 3 to 10 mph, gusts included. (mandatory)"),
                Some("Wind 3 to 8 mph, gusts included. (mandatory)")
            ),
            ("restraints.ppe", Some("Wear gloves. (mandatory)"), None),
            ("use `trees`", None, Some("Lawns: apply 0.2 to 0.4 fl oz per 1,000 sq ft.")),
        ]
    );
    assert_eq!((older, newer), before);
}
