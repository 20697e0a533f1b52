//! Quantities of the trade, their entry as people write them, and their display.
//!
//! Every quantity carries its dimension in the type (`uom`), so that a formula stands here as it stands
//! in the book, without factors of 1000 and 60. The rest of the program sees only the names below:
//! a constructor per unit ([`mm`], [`rpm`], ...), a reader per unit ([`to_mm`], [`to_rpm`], ...),
//! [`entry`] for what people type and [`show`] for what they read.
//!
//! Rotation is counted in revolutions: [`SpindleSpeed`] is a frequency, and surface speed is
//! `PI * d * n` without a factor of two.

pub mod entry;
mod entry_duration;
pub mod number;
pub mod show;

pub use uom::si::f64::Angle;
pub use uom::si::f64::Area;
pub use uom::si::f64::Force;
pub use uom::si::f64::Length;
pub use uom::si::f64::Power;
pub use uom::si::f64::Ratio;
pub use uom::si::f64::Time;
pub use uom::si::f64::Torque;
pub use uom::si::f64::Volume;

/// Speed of the cutting edge against the part, `vc`.
pub type SurfaceSpeed = uom::si::f64::Velocity;
/// Speed of the table against the tool, `vf`.
pub type Feed = uom::si::f64::Velocity;
/// Turns of the spindle in a time, `n`.
pub type SpindleSpeed = uom::si::f64::Frequency;
/// Metal removed in a time, `q`.
pub type RemovalRate = uom::si::f64::VolumeRate;
/// Force for one unit of chip area, `kc`; also the energy to remove one unit of volume.
pub type SpecificForce = uom::si::f64::Pressure;
/// Elastic modulus of a material, `E`.
pub type Modulus = uom::si::f64::Pressure;

/// Force for one unit of bending, `k`.
pub type Stiffness = uom::si::f64::RadiantExposure;

mod stiffness_unit {
    unit! {
        system: uom::si;
        quantity: uom::si::radiant_exposure;

        @newton_per_micrometre: 1.0e6; "N/µm", "newton per micrometre", "newtons per micrometre";
    }
}

mod specific_energy_unit {
    unit! {
        system: uom::si;
        quantity: uom::si::pressure;

        @horsepower_minute_per_cubic_inch: 745.699_871_582_270_2 * 60.0 / 1.638_706_4e-5;
            "hp min/in³", "horsepower minute per cubic inch", "horsepower minutes per cubic inch";
    }
}

mod metre_per_minute_unit {
    unit! {
        system: uom::si;
        quantity: uom::si::velocity;

        @metre_per_minute: 1.0 / 60.0; "m/min", "metre per minute", "metres per minute";
    }
}

mod cubic_centimetre_per_minute_unit {
    unit! {
        system: uom::si;
        quantity: uom::si::volume_rate;

        @cubic_centimetre_per_minute: 1.0e-6 / 60.0; "cm³/min", "cubic centimetre per minute",
            "cubic centimetres per minute";
        @exact_cubic_inch_per_minute: 1.638_706_4e-5 / 60.0; "in³/min", "cubic inch per minute",
            "cubic inches per minute";
    }
}

/// Declares the constructor and the reader of one unit.
macro_rules! unit {
    ($quantity:ty, $unit:path, $make:ident, $read:ident, $name:literal) => {
        #[doc = concat!("Makes a quantity from a number of ", $name, ".")]
        #[inline]
        pub fn $make(value: f64) -> $quantity {
            <$quantity>::new::<$unit>(value)
        }

        #[doc = concat!("Reads a quantity as a number of ", $name, ".")]
        #[inline]
        pub fn $read(value: $quantity) -> f64 {
            value.get::<$unit>()
        }
    };
}

unit!(
    Length,
    uom::si::length::millimeter,
    mm,
    to_mm,
    "millimetres"
);
unit!(
    Length,
    uom::si::length::micrometer,
    um,
    to_um,
    "micrometres"
);
unit!(Length, uom::si::length::inch, inch, to_inch, "inches");
unit!(
    Area,
    uom::si::area::square_millimeter,
    mm2,
    to_mm2,
    "square millimetres"
);
unit!(
    SurfaceSpeed,
    metre_per_minute_unit::metre_per_minute,
    m_per_min,
    to_m_per_min,
    "metres per minute"
);
unit!(
    SurfaceSpeed,
    uom::si::velocity::foot_per_minute,
    ft_per_min,
    to_ft_per_min,
    "feet per minute"
);
unit!(
    Feed,
    uom::si::velocity::millimeter_per_minute,
    mm_per_min,
    to_mm_per_min,
    "millimetres per minute"
);
unit!(
    Feed,
    uom::si::velocity::inch_per_minute,
    inch_per_min,
    to_inch_per_min,
    "inches per minute"
);
unit!(
    SpindleSpeed,
    uom::si::frequency::cycle_per_minute,
    rpm,
    to_rpm,
    "turns per minute"
);
unit!(
    SpindleSpeed,
    uom::si::frequency::hertz,
    hertz,
    to_hertz,
    "hertz"
);
unit!(
    RemovalRate,
    cubic_centimetre_per_minute_unit::cubic_centimetre_per_minute,
    cm3_per_min,
    to_cm3_per_min,
    "cubic centimetres per minute"
);
unit!(
    RemovalRate,
    cubic_centimetre_per_minute_unit::exact_cubic_inch_per_minute,
    inch3_per_min,
    to_inch3_per_min,
    "cubic inches per minute"
);
unit!(Force, uom::si::force::newton, newton, to_newton, "newtons");
unit!(
    Force,
    uom::si::force::pound_force,
    pound_force,
    to_pound_force,
    "pounds of force"
);
unit!(Power, uom::si::power::watt, watt, to_watt, "watts");
unit!(
    Power,
    uom::si::power::horsepower,
    horsepower,
    to_horsepower,
    "horsepower (550 foot-pounds of force a second)"
);
unit!(
    Torque,
    uom::si::torque::newton_meter,
    newton_metre,
    to_newton_metre,
    "newton metres"
);
unit!(
    Torque,
    uom::si::torque::pound_force_inch,
    pound_force_inch,
    to_pound_force_inch,
    "inch-pounds of force"
);
unit!(
    SpecificForce,
    uom::si::pressure::megapascal,
    n_per_mm2,
    to_n_per_mm2,
    "newtons per square millimetre"
);
unit!(Angle, uom::si::angle::degree, degree, to_degree, "degrees");
unit!(Angle, uom::si::angle::radian, radian, to_radian, "radians");
unit!(
    Ratio,
    uom::si::ratio::ratio,
    ratio,
    to_ratio,
    "wholes (1 is 100 percent)"
);
unit!(
    Ratio,
    uom::si::ratio::percent,
    percent,
    to_percent,
    "percent"
);
unit!(Time, uom::si::time::second, second, to_second, "seconds");
unit!(Time, uom::si::time::minute, minute, to_minute, "minutes");
unit!(
    SpecificForce,
    specific_energy_unit::horsepower_minute_per_cubic_inch,
    hp_min_per_inch3,
    to_hp_min_per_inch3,
    "horsepower minutes per cubic inch"
);
unit!(
    Modulus,
    uom::si::pressure::gigapascal,
    gigapascal,
    to_gigapascal,
    "gigapascals"
);
unit!(
    Stiffness,
    stiffness_unit::newton_per_micrometre,
    n_per_um,
    to_n_per_um,
    "newtons per micrometre"
);
