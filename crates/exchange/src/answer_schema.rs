//! The JSON Schemas of the answers that commands print with `--json`, apart from `visit.json`.

use crate::applied_json::AppliedJson;
use crate::books_json::{KeptJson, StockJson, ThingsJson, VerificationJson};
use crate::calibration_json::CalibrationJson;
use crate::choice_json::ChoicesJson;
use crate::complaint_json::ComplaintJson;
use crate::cost_json::CostJson;
use crate::demands_json::DemandsJson;
use crate::difference_json::DifferencesJson;
use crate::drawing_json::DrawingJson;
use crate::efficacy_json::EfficacyJson;
use crate::equipment_json::EquipmentReadingJson;
use crate::forecast_json::ForecastReadingJson;
use crate::identification_json::IdentificationJson;
use crate::key_json::KeyJson;
use crate::label_json::LabelReadingJson;
use crate::leftover_json::LeftoversJson;
use crate::measure_json::{MeasureDocumentJson, PaperJson};
use crate::mix_json::MixJson;
use crate::mow_json::MowJson;
use crate::pest_json::{PestProfileJson, PestsJson};
use crate::problems_json::ProblemsJson;
use crate::quotation_json::{QuotationJson, QuotationRefusedJson};
use crate::record_list_json::RecordListJson;
use crate::room_json::RoomsJson;
use crate::scouting_json::ScoutingJson;
use crate::stages_json::StagesJson;
use crate::standing_json::StandingJson;
use crate::totals_json::TotalsJson;
use crate::water_json::WaterJson;
use crate::weather_fetch_json::WeatherFetchJson;
use crate::work_hours_json::WorkHoursJson;
use schemars::JsonSchema;

/// Every answer: the name of its schema's file in `schema/answers`, and the schema as text.
pub fn answer_schemas() -> Vec<(&'static str, String)> {
    vec![
        ("problems.schema.json", of::<ProblemsJson>()),
        ("drawing.schema.json", of::<DrawingJson>()),
        ("measure.schema.json", of::<MeasureDocumentJson>()),
        ("measure-figure.schema.json", of::<PaperJson>()),
        ("calibration.schema.json", of::<CalibrationJson>()),
        ("mix.schema.json", of::<MixJson>()),
        ("choice.schema.json", of::<ChoicesJson>()),
        ("equipment-reading.schema.json", of::<EquipmentReadingJson>()),
        ("forecast-reading.schema.json", of::<ForecastReadingJson>()),
        ("label-reading.schema.json", of::<LabelReadingJson>()),
        ("label-differences.schema.json", of::<DifferencesJson>()),
        ("cost.schema.json", of::<CostJson>()),
        ("quotation.schema.json", of::<QuotationJson>()),
        ("quotation-refused.schema.json", of::<QuotationRefusedJson>()),
        ("demands.schema.json", of::<DemandsJson>()),
        ("applied.schema.json", of::<AppliedJson>()),
        ("kept.schema.json", of::<KeptJson>()),
        ("things.schema.json", of::<ThingsJson>()),
        ("records.schema.json", of::<RecordListJson>()),
        ("stock.schema.json", of::<StockJson>()),
        ("leftover.schema.json", of::<LeftoversJson>()),
        ("room.schema.json", of::<RoomsJson>()),
        ("standing.schema.json", of::<StandingJson>()),
        ("totals.schema.json", of::<TotalsJson>()),
        ("verification.schema.json", of::<VerificationJson>()),
        ("complaint.schema.json", of::<ComplaintJson>()),
        ("pests.schema.json", of::<PestsJson>()),
        ("pest.schema.json", of::<PestProfileJson>()),
        ("key.schema.json", of::<KeyJson>()),
        ("identification.schema.json", of::<IdentificationJson>()),
        ("scouting.schema.json", of::<ScoutingJson>()),
        ("efficacy.schema.json", of::<EfficacyJson>()),
        ("hours.schema.json", of::<WorkHoursJson>()),
        ("water.schema.json", of::<WaterJson>()),
        ("mow.schema.json", of::<MowJson>()),
        ("stages.schema.json", of::<StagesJson>()),
        ("weather-fetch.schema.json", of::<WeatherFetchJson>()),
    ]
}

/// The schema of what is written, where a field that may be left out is not required.
pub(crate) fn of<T: JsonSchema>() -> String {
    let settings = schemars::generate::SchemaSettings::draft2020_12().for_serialize();
    crate::json_text::pretty(&settings.into_generator().into_root_schema_for::<T>())
}
