//! What a statement says, in figures and few words: for people who hold a file against the printed label,
//! and one version of a label against another.

use crate::constraint::{
    ApplicationCount, BloomRule, Buffer, Cap, CapAmount, Irrigation, KeepOff, PpeItem, Range, WindLimit,
};
use crate::use_row::{Method, PreventiveUse, RateRange, Site};
use quantity::{
    AmountPerArea, Area, AreaUnit, Duration, DurationUnit, Length, LengthUnit, MassPerArea, MassPerAreaUnit, Rate,
    Speed, SpeedUnit, Temperature, TemperatureUnit, VolumePerArea, VolumePerAreaUnit, significant,
};

/// What is stated, in figures and few words; `subject` is its key in a label file.
pub(crate) trait Figure {
    /// In units of both systems where they differ.
    fn figure(&self, subject: &str) -> String;
}

impl<T: Figure> Figure for Range<T> {
    fn figure(&self, subject: &str) -> String {
        range(
            self.at_least.as_ref().map(|end| end.figure(subject)),
            self.at_most.as_ref().map(|end| end.figure(subject)),
        )
    }
}

fn range(at_least: Option<String>, at_most: Option<String>) -> String {
    match (at_least, at_most) {
        (Some(least), Some(most)) => format!("at least {least}, at most {most}"),
        (Some(least), None) => format!("at least {least}"),
        (None, Some(most)) => format!("at most {most}"),
        (None, None) => "no limit".to_owned(),
    }
}

/// Subjects that are shares: humidity of saturation, slope of rise over run.
const SHARES: &[&str] = &["relative_humidity", "slope"];

impl Figure for f64 {
    fn figure(&self, subject: &str) -> String {
        if SHARES.contains(&subject) { format!("{} %", significant(self * 100.0, 3)) } else { significant(*self, 3) }
    }
}

impl Figure for u32 {
    fn figure(&self, subject: &str) -> String {
        if subject.ends_with("_days") { format!("{self} days") } else { self.to_string() }
    }
}

impl Figure for bool {
    fn figure(&self, _: &str) -> String {
        if *self { "so" } else { "not so" }.to_owned()
    }
}

impl Figure for String {
    fn figure(&self, _: &str) -> String {
        self.clone()
    }
}

impl Figure for PreventiveUse {
    fn figure(&self, _: &str) -> String {
        self.word().replace('-', " ")
    }
}

impl Figure for Duration {
    fn figure(&self, _: &str) -> String {
        let unit = match self.to(DurationUnit::Hour) {
            hours if hours < 1.0 => DurationUnit::Minute,
            hours if hours < 72.0 => DurationUnit::Hour,
            _ => DurationUnit::Day,
        };
        self.show(unit)
    }
}

impl Figure for Length {
    fn figure(&self, _: &str) -> String {
        let (us, metric) = if self.to(LengthUnit::Foot) < 1.0 {
            (LengthUnit::Inch, LengthUnit::Centimetre)
        } else {
            (LengthUnit::Foot, LengthUnit::Metre)
        };
        format!("{} ({})", self.show(us), self.show(metric))
    }
}

impl Figure for Area {
    fn figure(&self, _: &str) -> String {
        format!("{} ({})", self.show(AreaUnit::SquareFoot), self.show(AreaUnit::SquareMetre))
    }
}

impl Figure for Speed {
    fn figure(&self, _: &str) -> String {
        format!("{} ({})", self.show(SpeedUnit::MilePerHour), self.show(SpeedUnit::KilometrePerHour))
    }
}

impl Figure for Temperature {
    fn figure(&self, _: &str) -> String {
        format!("{} ({})", self.show(TemperatureUnit::Fahrenheit), self.show(TemperatureUnit::Celsius))
    }
}

impl Figure for VolumePerArea {
    fn figure(&self, subject: &str) -> String {
        // What is sprayed is told in gallons, what is poured in fluid ounces.
        let us = if subject == "carrier" {
            VolumePerAreaUnit::UsGallonPer1000SquareFeet
        } else {
            VolumePerAreaUnit::UsFluidOuncePer1000SquareFeet
        };
        format!("{} ({})", self.show(us), self.show(VolumePerAreaUnit::LitrePerHectare))
    }
}

impl Figure for MassPerArea {
    fn figure(&self, _: &str) -> String {
        format!("{} ({})", self.show(MassPerAreaUnit::PoundPerAcre), self.show(MassPerAreaUnit::KilogramPerHectare))
    }
}

impl Figure for Rate {
    fn figure(&self, _: &str) -> String {
        self.to_string()
    }
}

impl Figure for RateRange {
    fn figure(&self, _: &str) -> String {
        let mut words = match &self.lowest {
            Some(lowest) => format!("{lowest} to {}", self.highest),
            None => format!("up to {}", self.highest),
        };
        if let Some(choice) = &self.choice {
            words = format!("{words}; {choice}");
        }
        if self.below_lowest_prohibited {
            words.push_str("; never below");
        }
        words
    }
}

impl Figure for Cap {
    fn figure(&self, subject: &str) -> String {
        let amount = match self.amount {
            CapAmount::Product(AmountPerArea::Volume(volume)) => volume.figure(subject),
            CapAmount::Product(AmountPerArea::Mass(mass)) | CapAmount::ActiveIngredient(mass) => mass.figure(subject),
        };
        let of = match (&self.amount, &self.active_ingredient) {
            (CapAmount::Product(_), _) => "product",
            (CapAmount::ActiveIngredient(_), Some(name)) => name,
            (CapAmount::ActiveIngredient(_), None) => "active ingredient",
        };
        let others = if self.counts_other_products { ", other products counted" } else { "" };
        format!("{amount} of {of} by {}{others}", self.window.word())
    }
}

impl Figure for ApplicationCount {
    fn figure(&self, _: &str) -> String {
        format!("{} by {}", self.count, self.window.word())
    }
}

impl Figure for KeepOff {
    fn figure(&self, subject: &str) -> String {
        let mut parts = Vec::new();
        parts.extend(self.at_least.map(|time| format!("at least {}", time.figure(subject))));
        parts.extend(self.until_dry.then(|| "until dry".to_owned()));
        parts.extend(self.until_watered_in.then(|| "until watered in and dry".to_owned()));
        parts.join(", ")
    }
}

impl Figure for Irrigation {
    fn figure(&self, subject: &str) -> String {
        match self {
            Self::ProhibitedFor(time) => format!("none for {}", time.figure(subject)),
            Self::WaterIn { depth, within } => format!("{} within {}", depth.figure(subject), within.figure(subject)),
        }
    }
}

impl Figure for WindLimit {
    fn figure(&self, subject: &str) -> String {
        let speeds =
            range(self.at_least.map(|speed| speed.figure(subject)), self.at_most.map(|speed| speed.figure(subject)));
        if self.gusts_count { format!("{speeds}, gusts counted") } else { speeds }
    }
}

impl Figure for Buffer {
    fn figure(&self, subject: &str) -> String {
        format!("{} from {}", self.distance.figure(subject), self.feature.word())
    }
}

impl Figure for PpeItem {
    fn figure(&self, _: &str) -> String {
        let tasks: Vec<&str> = self.tasks.iter().map(|task| task.word()).collect();
        format!("{}: {}", self.item, tasks.join(", "))
    }
}

impl Figure for BloomRule {
    fn figure(&self, _: &str) -> String {
        self.word().to_owned()
    }
}

impl Figure for Method {
    fn figure(&self, _: &str) -> String {
        self.word().to_owned()
    }
}

impl Figure for Site {
    fn figure(&self, _: &str) -> String {
        self.word().to_owned()
    }
}
