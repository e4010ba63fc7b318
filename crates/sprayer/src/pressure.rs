//! Pressure at the nozzle.

/// Units of pressure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PressureUnit {
    /// Kilopascal.
    Kilopascal,
    /// Bar, 100 kPa.
    Bar,
    /// Pound-force per square inch.
    PoundPerSquareInch,
}

impl PressureUnit {
    /// How many pascals one of this unit is.
    ///
    /// # Source
    /// NIST Special Publication 811, appendix B.8: psi 6.894757 kPa, here from the exact pound,
    /// inch and standard gravity.
    const fn factor(self) -> f64 {
        match self {
            Self::Kilopascal => 1e3,
            Self::Bar => 1e5,
            Self::PoundPerSquareInch => 0.453_592_37 * 9.806_65 / (0.0254 * 0.0254),
        }
    }

    /// The symbol as printed.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Kilopascal => "kPa",
            Self::Bar => "bar",
            Self::PoundPerSquareInch => "psi",
        }
    }

    /// The code in the Unified Code for Units of Measure.
    pub const fn ucum(self) -> &'static str {
        match self {
            Self::Kilopascal => "kPa",
            Self::Bar => "bar",
            Self::PoundPerSquareInch => "[psi]",
        }
    }
}

/// A pressure above that of the air.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Pressure(f64);

impl Pressure {
    /// So many of a unit; `None` unless it is a finite number above nothing.
    pub fn new(value: f64, unit: PressureUnit) -> Option<Self> {
        (value.is_finite() && value > 0.0).then(|| Self(value * unit.factor()))
    }

    /// The number of a unit that it is.
    pub fn to(self, unit: PressureUnit) -> f64 {
        self.0 / unit.factor()
    }

    /// How many times the other fits into it.
    pub fn ratio(self, other: Self) -> f64 {
        self.0 / other.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn forty_psi_is_close_to_three_bar() {
        let pressure = Pressure::new(40.0, PressureUnit::PoundPerSquareInch).unwrap();
        assert!((pressure.to(PressureUnit::Bar) - 2.757_903).abs() < 1e-6);
        assert!(Pressure::new(0.0, PressureUnit::Bar).is_none());
        assert!(Pressure::new(f64::NAN, PressureUnit::Bar).is_none());
    }
}
