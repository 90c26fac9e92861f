//! Why a chip that the kernel reads does not talk: what happened, what it means, what to do.

use super::trouble;
use crate::http::views::TroubleView;
use crate::link::IioRefusal;
use crate::text;

/// Words for a device of the kernel that cannot be read.
pub(super) fn iio_refused(refusal: &IioRefusal) -> TroubleView {
    match refusal {
        IioRefusal::NoAccelerometer { device } => trouble(
            "no_accelerometer",
            text!("{device} measures no acceleration in three axes.", device),
            text!(
                "It is another kind of sensor, or the gyro half of a chip that the kernel shows as two devices."
            ),
            text!(
                "Name the device with the accelerometer: `grep . /sys/bus/iio/devices/*/name` shows them all."
            ),
        ),
        IioRefusal::Layout { device, why } => trouble(
            "unknown_records",
            text!(
                "The records of {device} cannot be read: {why}.",
                device,
                why
            ),
            text!(
                "Its buffer is on with channels that make no measurement, or its driver describes them in a way that is not known."
            ),
            text!(
                "Switch the buffer off, `echo 0 > /sys/bus/iio/devices/{device}/buffer/enable`: it is then set up from here.",
                device
            ),
        ),
        IioRefusal::Unreadable { device, file, why } => trouble(
            "device_unreadable",
            text!(
                "The kernel does not read {device}: {file} gives \"{why}\".",
                device,
                file,
                why
            ),
            text!("The chip does not answer, or its driver is at fault."),
            text!("Check the chip's wires and power, and look into `dmesg` for its driver."),
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_refusal_says_what_happened_and_what_to_do() {
        let (device, why) = ("iio:device1".to_owned(), "because".to_owned());
        for (refusal, parts) in [
            (
                IioRefusal::NoAccelerometer {
                    device: device.clone(),
                },
                ["no_accelerometer", "iio:device1", "grep"],
            ),
            (
                IioRefusal::Layout {
                    device: device.clone(),
                    why: why.clone(),
                },
                ["unknown_records", "because", "iio:device1/buffer/enable"],
            ),
            (
                IioRefusal::Unreadable {
                    device,
                    file: "in_accel_x_raw".to_owned(),
                    why,
                },
                ["device_unreadable", "in_accel_x_raw", "dmesg"],
            ),
        ] {
            let view = iio_refused(&refusal);
            for sentence in [&view.what, &view.meaning, &view.remedy] {
                assert!(sentence.ends_with("."), "a whole sentence: {sentence}");
            }
            let told = format!("{} {} {}", view.code, view.what, view.remedy);
            for part in parts {
                assert!(told.contains(part), "`{part}` is missing in {told}");
            }
        }
    }
}
