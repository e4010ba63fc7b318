//! How papers and pictures look, and how they are sent.

use axum::response::{IntoResponse, Response};
use http::header;
use serde::Deserialize;
use sheet::{MapOptions, PaperOptions, PaperSize, Units, WaterBalanceOptions};
use utoipa::{IntoParams, ToSchema};

/// The units that come first in words.
#[derive(Debug, Clone, Copy, Default, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
enum UnitsWord {
    /// Feet, US gallons, degrees Fahrenheit.
    #[default]
    Us,
    /// Metres, litres, degrees Celsius.
    Metric,
}

/// The paper.
#[derive(Debug, Clone, Copy, Default, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
enum PaperWord {
    /// 8.5 by 11 inches.
    #[default]
    Letter,
    /// 210 by 297 millimetres.
    A4,
}

/// How a paper or a picture looks.
#[derive(Debug, Clone, Copy, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(default, deny_unknown_fields)]
pub(super) struct LookQuery {
    /// The units that come first: `us` when nothing is said.
    #[param(inline)]
    units: UnitsWord,
    /// The paper of the work sheet: `letter` when nothing is said. A picture has none.
    #[param(inline)]
    paper: PaperWord,
    /// Draw in black and white only.
    black_and_white: bool,
}

impl LookQuery {
    fn units(self) -> Units {
        match self.units {
            UnitsWord::Us => Units::UsCustomary,
            UnitsWord::Metric => Units::Metric,
        }
    }

    pub(super) fn of_paper(self) -> PaperOptions {
        PaperOptions {
            paper: match self.paper {
                PaperWord::Letter => PaperSize::Letter,
                PaperWord::A4 => PaperSize::A4,
            },
            units: self.units(),
            black_and_white: self.black_and_white,
            fonts: Vec::new(),
        }
    }

    pub(super) fn of_water(self) -> WaterBalanceOptions {
        WaterBalanceOptions { colour: !self.black_and_white, units: self.units(), ..WaterBalanceOptions::default() }
    }

    pub(super) fn of_map(self) -> MapOptions {
        MapOptions { colour: !self.black_and_white, units: self.units(), ..MapOptions::default() }
    }
}

/// A file to be kept, not a page of ours.
pub(super) fn file(media_type: &'static str, name: &'static str, bytes: Vec<u8>) -> Response {
    let disposition = format!("attachment; filename=\"{name}\"");
    ([(header::CONTENT_TYPE, media_type.to_owned()), (header::CONTENT_DISPOSITION, disposition)], bytes).into_response()
}
