//! How a force axis is named: `left-trigger`, `right-trigger`, or `sensor:VENDOR:PRODUCT`.

use crate::input::PadSide;
use std::fmt;
use std::str::FromStr;

/// A force axis, as it is named on the command line and in player.toml.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum AxisName {
    /// An analogue trigger of a gamepad.
    Trigger(PadSide),
    /// A device with one absolute axis, by vendor and product number.
    Sensor {
        /// `1234:abcd`.
        ident: String,
    },
}

/// No axis is named so.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("write left-trigger, right-trigger or sensor:VENDOR:PRODUCT instead of `{text}`")]
pub struct UnknownAxis {
    /// As written.
    pub text: String,
}

impl FromStr for AxisName {
    type Err = UnknownAxis;

    fn from_str(text: &str) -> Result<AxisName, UnknownAxis> {
        match text {
            "left-trigger" => Ok(AxisName::Trigger(PadSide::Left)),
            "right-trigger" => Ok(AxisName::Trigger(PadSide::Right)),
            _ => match text.strip_prefix("sensor:") {
                Some(ident) if ident.contains(':') => {
                    Ok(AxisName::Sensor { ident: ident.to_owned() })
                }
                Some(_) | None => Err(UnknownAxis { text: text.to_owned() }),
            },
        }
    }
}

impl fmt::Display for AxisName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            AxisName::Trigger(PadSide::Left) => f.write_str("left-trigger"),
            AxisName::Trigger(PadSide::Right) => f.write_str("right-trigger"),
            AxisName::Sensor { ident } => write!(f, "sensor:{ident}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_reads_back_as_written() {
        for text in ["left-trigger", "right-trigger", "sensor:1234:abcd"] {
            assert_eq!(text.parse::<AxisName>().unwrap().to_string(), text);
        }
        for text in ["", "trigger", "sensor:", "sensor:1234"] {
            assert!(text.parse::<AxisName>().is_err(), "{text}");
        }
    }
}
