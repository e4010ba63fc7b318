//! What a notice must contain and the inputs do not have.

use crate::{Business, Treatment, When};
use jurisdiction::NoticeItem;

/// The items of a notice that cannot be filled in, each once, in their order.
pub fn lacking<'i>(
    items: impl IntoIterator<Item = &'i NoticeItem>,
    business: &Business,
    treatment: &Treatment,
) -> Vec<&'i NoticeItem> {
    let mut all: Vec<&NoticeItem> = Vec::new();
    for item in items {
        if !is_there(item, business, treatment) && !all.contains(&item) {
            all.push(item);
        }
    }
    all
}

fn is_there(item: &NoticeItem, business: &Business, treatment: &Treatment) -> bool {
    let products = &treatment.products;
    match item {
        NoticeItem::Product => !products.is_empty(),
        NoticeItem::ActiveIngredients => {
            !products.is_empty() && products.iter().all(|product| !product.active_ingredients.is_empty())
        }
        NoticeItem::RegistrationNumber => {
            !products.is_empty() && products.iter().all(|product| product.registration_number.is_some())
        }
        NoticeItem::Applicator => !treatment.by.is_empty(),
        NoticeItem::LicenceNumber => {
            business.licence_number.is_some()
                || (!treatment.by.is_empty() && treatment.by.iter().all(|one| one.certification.is_some()))
        }
        NoticeItem::BusinessAddress => !business.address.is_empty(),
        NoticeItem::Time => match &treatment.when {
            When::Planned { starts, .. } => !starts.is_empty(),
            When::Done { .. } => true,
        },
        // What every paper has, from fields that no file may leave out.
        NoticeItem::Kind
        | NoticeItem::LabelInstructions
        | NoticeItem::BusinessName
        | NoticeItem::BusinessTelephone
        | NoticeItem::Date
        | NoticeItem::Location
        | NoticeItem::SignRemoval
        | NoticeItem::Contact
        | NoticeItem::Words(_) => true,
    }
}
