//! Which channels of a device are used, and what their counts are.

use hubplumb_protocol::ScanElement;

use super::tree::IioDevice;

/// What is measured along three axes.
const TRIPLES: [&str; 2] = ["in_accel", "in_anglvel"];
const AXES: [&str; 3] = ["x", "y", "z"];

/// Channels that are read where a device has them.
pub(super) fn wanted() -> impl Iterator<Item = String> {
    let axes = TRIPLES
        .into_iter()
        .flat_map(|triple| AXES.map(|axis| format!("{triple}_{axis}")));
    axes.chain(["in_temp", "in_timestamp"].map(String::from))
}

/// A channel of a device as the decoder takes it, in the axes of the board.
pub(super) fn element(device: &IioDevice, channel: &str, index: u32, kind: &str) -> ScanElement {
    let shared = TRIPLES
        .into_iter()
        .find(|triple| channel.starts_with(&format!("{triple}_")));
    let of = |what: &str| {
        let own = device.number_in(&format!("{channel}_{what}"));
        own.or_else(|| device.number_in(&format!("{}_{what}", shared?)))
    };
    let mut element = ScanElement {
        channel: channel.to_owned(),
        index,
        kind: kind.to_owned(),
        scale: of("scale").unwrap_or(1.0),
        offset: of("offset").unwrap_or(0.0),
    };
    if let Some(triple) = shared
        && let Some(axis) = AXES.iter().position(|axis| channel.ends_with(axis))
    {
        let (axis, sign) = mounted(device, triple)[axis];
        element.channel = format!("{triple}_{}", AXES[axis]);
        element.scale *= sign;
    }
    element
}

type Turned = [(usize, f64); 3];

const AS_IT_IS: Turned = [(0, 1.0), (1, 1.0), (2, 1.0)];

/// Where the chip's axes point on the board, by the matrix that its makers gave the
/// kernel. Only turns by quarters can be had by renaming; others leave the chip's own axes.
fn mounted(device: &IioDevice, triple: &str) -> Turned {
    let files = [
        format!("{triple}_mount_matrix"),
        "in_mount_matrix".to_owned(),
        "mount_matrix".to_owned(),
    ];
    let Some(written) = files.iter().find_map(|file| device.text(file)) else {
        return AS_IT_IS;
    };
    quarters(&written).unwrap_or_else(|| {
        let device = device.kernel_name();
        tracing::warn!(
            device,
            matrix = written,
            "the mount matrix is no turn by quarters; the chip's own axes are used"
        );
        AS_IT_IS
    })
}

/// Reads `0, -1, 0; 1, 0, 0; 0, 0, 1`: rows are axes of the board, columns of the chip.
fn quarters(written: &str) -> Option<Turned> {
    let rows: Vec<Vec<f64>> = written
        .split(';')
        .map(|row| row.split(',').map(|n| n.trim().parse().ok()).collect())
        .collect::<Option<_>>()?;
    if rows.len() != 3 || rows.iter().any(|row| row.len() != 3) {
        return None;
    }
    let mut turned = [None; 3];
    for (board_axis, row) in rows.iter().enumerate() {
        let mut set = row.iter().enumerate().filter(|(_, value)| **value != 0.0);
        let (chip_axis, &sign) = set.next()?;
        if set.next().is_some() || sign.abs() != 1.0 {
            return None;
        }
        turned[chip_axis] = Some((board_axis, sign));
    }
    let [Some(x), Some(y), Some(z)] = turned else {
        return None;
    };
    Some([x, y, z])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turns_by_quarters_are_read_and_others_are_not() {
        for (written, turned) in [
            ("1, 0, 0; 0, 1, 0; 0, 0, 1", Some(AS_IT_IS)),
            // The chip's y is the board's x, backwards; its x is the board's y.
            (
                "0, -1, 0; 1, 0, 0; 0, 0, 1",
                Some([(1, 1.0), (0, -1.0), (2, 1.0)]),
            ),
            ("0.7, 0.7, 0; -0.7, 0.7, 0; 0, 0, 1", None),
            ("1, 0, 0; 1, 0, 0; 0, 0, 1", None),
            ("1, 0; 0, 1", None),
            ("", None),
        ] {
            assert_eq!(quarters(written), turned, "{written}");
        }
    }
}
