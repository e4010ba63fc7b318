//! Every unit of the trade, its exact factor to SI, the symbol people write, its UCUM code and
//! the system it belongs to.
//!
//! # Source
//! NIST Handbook 44, Appendix C: inch 25.4 mm exactly, pound 0.45359237 kg exactly, US gallon
//! 231 cubic inches; UK Weights and Measures Act 1985: imperial gallon 4.54609 L.

/// The system of units that a unit belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum System {
    /// The International System and the litre, hectare and minute used with it.
    Metric,
    /// United States customary units.
    UsCustomary,
    /// British imperial units.
    Imperial,
    /// Shared by the US customary and the imperial system (foot, pound, ounce of weight).
    UsAndImperial,
}

const INCH: f64 = 0.0254;
const FOOT: f64 = 0.3048;
const ACRE: f64 = 43_560.0 * FOOT * FOOT;
const POUND: f64 = 0.453_592_37;
/// 231 cubic inches in cubic metres.
const US_GALLON: f64 = 231.0 * INCH * INCH * INCH;
const IMPERIAL_GALLON: f64 = 4.546_09e-3;

macro_rules! units {
    ($(#[$doc:meta])* $name:ident, $si:literal { $($(#[$udoc:meta])* $unit:ident = $factor:expr, $symbol:literal, $ucum:literal, $system:ident;)+ }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name { $($(#[$udoc])* $unit,)+ }
        impl $name {
            /// Every unit of this dimension.
            pub const ALL: &'static [Self] = &[$(Self::$unit),+];
            #[doc = concat!("How many ", $si, " one of this unit is.")]
            pub const fn factor(self) -> f64 { match self { $(Self::$unit => $factor,)+ } }
            /// The symbol as printed.
            pub const fn symbol(self) -> &'static str { match self { $(Self::$unit => $symbol,)+ } }
            /// The code in the Unified Code for Units of Measure.
            pub const fn ucum(self) -> &'static str { match self { $(Self::$unit => $ucum,)+ } }
            /// The system it belongs to.
            pub const fn system(self) -> System { match self { $(Self::$unit => System::$system,)+ } }
        }
    };
}

units! {
    /// Units of length.
    LengthUnit, "metres" {
        /// Metre.
        Metre = 1.0, "m", "m", Metric;
        /// Centimetre.
        Centimetre = 0.01, "cm", "cm", Metric;
        /// Millimetre.
        Millimetre = 0.001, "mm", "mm", Metric;
        /// Micrometre, the measure of droplets.
        Micrometre = 1e-6, "µm", "um", Metric;
        /// Kilometre.
        Kilometre = 1000.0, "km", "km", Metric;
        /// Foot.
        Foot = FOOT, "ft", "[ft_i]", UsAndImperial;
        /// Inch.
        Inch = INCH, "in", "[in_i]", UsAndImperial;
        /// Yard.
        Yard = 3.0 * FOOT, "yd", "[yd_i]", UsAndImperial;
        /// Mile.
        Mile = 5280.0 * FOOT, "mi", "[mi_i]", UsAndImperial;
    }
}
units! {
    /// Units of area.
    AreaUnit, "square metres" {
        /// Square metre.
        SquareMetre = 1.0, "m²", "m2", Metric;
        /// Hectare.
        Hectare = 10_000.0, "ha", "har", Metric;
        /// Square foot.
        SquareFoot = FOOT * FOOT, "sq ft", "[sft_i]", UsAndImperial;
        /// Square yard.
        SquareYard = 9.0 * FOOT * FOOT, "sq yd", "[syd_i]", UsAndImperial;
        /// Square inch.
        SquareInch = INCH * INCH, "sq in", "[sin_i]", UsAndImperial;
        /// Acre of 43,560 square feet.
        Acre = ACRE, "acre", "(43560.[sft_i])", UsAndImperial;
    }
}
units! {
    /// Units of volume.
    VolumeUnit, "cubic metres" {
        /// Cubic metre.
        CubicMetre = 1.0, "m³", "m3", Metric;
        /// Litre.
        Litre = 1e-3, "L", "L", Metric;
        /// Millilitre.
        Millilitre = 1e-6, "mL", "mL", Metric;
        /// Microlitre.
        Microlitre = 1e-9, "µL", "uL", Metric;
        /// US fluid ounce.
        UsFluidOunce = US_GALLON / 128.0, "fl oz", "[foz_us]", UsCustomary;
        /// US gallon.
        UsGallon = US_GALLON, "gal", "[gal_us]", UsCustomary;
        /// US liquid quart.
        UsQuart = US_GALLON / 4.0, "qt", "[qt_us]", UsCustomary;
        /// US liquid pint.
        UsPint = US_GALLON / 8.0, "pt", "[pt_us]", UsCustomary;
        /// US cup.
        UsCup = US_GALLON / 16.0, "cup", "[cup_us]", UsCustomary;
        /// US tablespoon, half a US fluid ounce.
        UsTablespoon = US_GALLON / 256.0, "tbsp", "[tbs_us]", UsCustomary;
        /// US teaspoon, a sixth of a US fluid ounce.
        UsTeaspoon = US_GALLON / 768.0, "tsp", "[tsp_us]", UsCustomary;
        /// Imperial fluid ounce, a 160th of an imperial gallon.
        ImperialFluidOunce = IMPERIAL_GALLON / 160.0, "imp fl oz", "[foz_br]", Imperial;
        /// Imperial gallon.
        ImperialGallon = IMPERIAL_GALLON, "imp gal", "[gal_br]", Imperial;
        /// Imperial quart.
        ImperialQuart = IMPERIAL_GALLON / 4.0, "imp qt", "[qt_br]", Imperial;
        /// Imperial pint.
        ImperialPint = IMPERIAL_GALLON / 8.0, "imp pt", "[pt_br]", Imperial;
        /// Cubic inch.
        CubicInch = INCH * INCH * INCH, "cu in", "[cin_i]", UsAndImperial;
        /// Cubic foot.
        CubicFoot = FOOT * FOOT * FOOT, "cu ft", "[cft_i]", UsAndImperial;
    }
}
units! {
    /// Units of mass.
    MassUnit, "kilograms" {
        /// Kilogram.
        Kilogram = 1.0, "kg", "kg", Metric;
        /// Gram.
        Gram = 1e-3, "g", "g", Metric;
        /// Milligram.
        Milligram = 1e-6, "mg", "mg", Metric;
        /// Microgram.
        Microgram = 1e-9, "µg", "ug", Metric;
        /// Pound (avoirdupois).
        Pound = POUND, "lb", "[lb_av]", UsAndImperial;
        /// Ounce of weight (avoirdupois); never a fluid ounce.
        Ounce = POUND / 16.0, "oz (weight)", "[oz_av]", UsAndImperial;
    }
}
units! {
    /// Units of time.
    DurationUnit, "seconds" {
        /// Second.
        Second = 1.0, "s", "s", Metric;
        /// Minute.
        Minute = 60.0, "min", "min", Metric;
        /// Hour.
        Hour = 3600.0, "h", "h", Metric;
        /// Day of 24 hours.
        Day = 86_400.0, "d", "d", Metric;
    }
}
units! {
    /// Units of speed.
    SpeedUnit, "metres per second" {
        /// Metre per second.
        MetrePerSecond = 1.0, "m/s", "m/s", Metric;
        /// Kilometre per hour.
        KilometrePerHour = 1000.0 / 3600.0, "km/h", "km/h", Metric;
        /// Mile per hour.
        MilePerHour = 5280.0 * FOOT / 3600.0, "mph", "[mi_i]/h", UsAndImperial;
        /// Foot per minute.
        FootPerMinute = FOOT / 60.0, "ft/min", "[ft_i]/min", UsAndImperial;
        /// Knot.
        Knot = 1852.0 / 3600.0, "kn", "[kn_i]", UsAndImperial;
    }
}
units! {
    /// Units of flow.
    FlowUnit, "cubic metres per second" {
        /// Litre per minute.
        LitrePerMinute = 1e-3 / 60.0, "L/min", "L/min", Metric;
        /// US gallon per minute.
        UsGallonPerMinute = US_GALLON / 60.0, "gal/min", "[gal_us]/min", UsCustomary;
        /// US fluid ounce per minute.
        UsFluidOuncePerMinute = US_GALLON / 128.0 / 60.0, "fl oz/min", "[foz_us]/min", UsCustomary;
        /// Imperial gallon per minute.
        ImperialGallonPerMinute = IMPERIAL_GALLON / 60.0, "imp gal/min", "[gal_br]/min", Imperial;
    }
}
units! {
    /// Units of volume per area (a depth, named by its use).
    VolumePerAreaUnit, "metres" {
        /// Litre per hectare.
        LitrePerHectare = 1e-7, "L/ha", "L/har", Metric;
        /// Millilitre per square metre.
        MillilitrePerSquareMetre = 1e-6, "mL/m²", "mL/m2", Metric;
        /// Millilitre per 100 square metres.
        MillilitrePer100SquareMetres = 1e-8, "mL/100 m²", "mL/(100.m2)", Metric;
        /// Litre per 100 square metres.
        LitrePer100SquareMetres = 1e-5, "L/100 m²", "L/(100.m2)", Metric;
        /// US fluid ounce per 1,000 square feet.
        UsFluidOuncePer1000SquareFeet = US_GALLON / 128.0 / (1000.0 * FOOT * FOOT), "fl oz/1,000 sq ft", "[foz_us]/(1000.[sft_i])", UsCustomary;
        /// US gallon per 1,000 square feet.
        UsGallonPer1000SquareFeet = US_GALLON / (1000.0 * FOOT * FOOT), "gal/1,000 sq ft", "[gal_us]/(1000.[sft_i])", UsCustomary;
        /// US gallon per acre.
        UsGallonPerAcre = US_GALLON / ACRE, "gal/acre", "[gal_us]/(43560.[sft_i])", UsCustomary;
        /// US fluid ounce per acre.
        UsFluidOuncePerAcre = US_GALLON / 128.0 / ACRE, "fl oz/acre", "[foz_us]/(43560.[sft_i])", UsCustomary;
        /// Imperial gallon per acre.
        ImperialGallonPerAcre = IMPERIAL_GALLON / ACRE, "imp gal/acre", "[gal_br]/(43560.[sft_i])", Imperial;
    }
}
units! {
    /// Units of mass per area.
    MassPerAreaUnit, "kilograms per square metre" {
        /// Kilogram per hectare.
        KilogramPerHectare = 1e-4, "kg/ha", "kg/har", Metric;
        /// Gram per square metre.
        GramPerSquareMetre = 1e-3, "g/m²", "g/m2", Metric;
        /// Gram per 100 square metres.
        GramPer100SquareMetres = 1e-5, "g/100 m²", "g/(100.m2)", Metric;
        /// Pound per acre.
        PoundPerAcre = POUND / ACRE, "lb/acre", "[lb_av]/(43560.[sft_i])", UsAndImperial;
        /// Pound per 1,000 square feet.
        PoundPer1000SquareFeet = POUND / (1000.0 * FOOT * FOOT), "lb/1,000 sq ft", "[lb_av]/(1000.[sft_i])", UsAndImperial;
        /// Ounce of weight per 1,000 square feet.
        OuncePer1000SquareFeet = POUND / 16.0 / (1000.0 * FOOT * FOOT), "oz (weight)/1,000 sq ft", "[oz_av]/(1000.[sft_i])", UsAndImperial;
    }
}
units! {
    /// Units of mass per volume.
    DensityUnit, "kilograms per cubic metre" {
        /// Kilogram per litre (the same number as grams per millilitre).
        KilogramPerLitre = 1000.0, "kg/L", "kg/L", Metric;
        /// Gram per litre.
        GramPerLitre = 1.0, "g/L", "g/L", Metric;
        /// Pound per US gallon.
        PoundPerUsGallon = POUND / US_GALLON, "lb/gal", "[lb_av]/[gal_us]", UsCustomary;
        /// Pound per imperial gallon.
        PoundPerImperialGallon = POUND / IMPERIAL_GALLON, "lb/imp gal", "[lb_av]/[gal_br]", Imperial;
    }
}

units! {
    /// Units of a difference of two temperatures.
    TemperatureDifferenceUnit, "kelvins" {
        /// Degree Celsius, the same step as a kelvin.
        Celsius = 1.0, "°C", "Cel", Metric;
        /// Degree Fahrenheit, five ninths of a kelvin.
        Fahrenheit = 5.0 / 9.0, "°F", "[degF]", UsCustomary;
    }
}
units! {
    /// Units of heat over a time: so many degrees above a base for so long.
    DegreeDayUnit, "Celsius degree-days" {
        /// Celsius degree-day.
        Celsius = 1.0, "degree-days (°C)", "Cel.d", Metric;
        /// Fahrenheit degree-day, five ninths of a Celsius one.
        Fahrenheit = 5.0 / 9.0, "degree-days (°F)", "[degF].d", UsCustomary;
        /// Celsius degree-hour.
        CelsiusHour = 1.0 / 24.0, "degree-hours (°C)", "Cel.h", Metric;
        /// Fahrenheit degree-hour.
        FahrenheitHour = 5.0 / 9.0 / 24.0, "degree-hours (°F)", "[degF].h", UsCustomary;
    }
}
units! {
    /// Units of pressure.
    PressureUnit, "pascals" {
        /// Pascal.
        Pascal = 1.0, "Pa", "Pa", Metric;
        /// Hectopascal, the same as a millibar.
        Hectopascal = 100.0, "hPa", "hPa", Metric;
        /// Kilopascal.
        Kilopascal = 1000.0, "kPa", "kPa", Metric;
    }
}
units! {
    /// Units of radiant power on a surface.
    IrradianceUnit, "watts per square metre" {
        /// Watt per square metre.
        WattPerSquareMetre = 1.0, "W/m²", "W/m2", Metric;
    }
}
units! {
    /// Units of radiant energy that a surface took in over a time.
    RadiantExposureUnit, "joules per square metre" {
        /// Joule per square metre.
        JoulePerSquareMetre = 1.0, "J/m²", "J/m2", Metric;
        /// Megajoule per square metre.
        MegajoulePerSquareMetre = 1e6, "MJ/m²", "MJ/m2", Metric;
        /// Watt-hour per square metre.
        WattHourPerSquareMetre = 3600.0, "Wh/m²", "W.h/m2", Metric;
    }
}

/// Scales of temperature.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TemperatureUnit {
    /// Degree Celsius.
    Celsius,
    /// Degree Fahrenheit.
    Fahrenheit,
}

impl TemperatureUnit {
    /// The symbol as printed.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Celsius => "°C",
            Self::Fahrenheit => "°F",
        }
    }

    /// The unit of differences on this scale.
    pub const fn difference(self) -> TemperatureDifferenceUnit {
        match self {
            Self::Celsius => TemperatureDifferenceUnit::Celsius,
            Self::Fahrenheit => TemperatureDifferenceUnit::Fahrenheit,
        }
    }

    /// The unit of degree-days on this scale.
    pub const fn degree_days(self) -> DegreeDayUnit {
        match self {
            Self::Celsius => DegreeDayUnit::Celsius,
            Self::Fahrenheit => DegreeDayUnit::Fahrenheit,
        }
    }

    /// The code in the Unified Code for Units of Measure.
    pub const fn ucum(self) -> &'static str {
        match self {
            Self::Celsius => "Cel",
            Self::Fahrenheit => "[degF]",
        }
    }
}
