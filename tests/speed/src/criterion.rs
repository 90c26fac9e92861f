//! What the benchmarks by criterion have found, from the files that it leaves.

use std::fmt::Write as _;
use std::fs;
use std::io;
use std::path::Path;

use serde_json::Value;

/// One benchmark.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// Its group; the same as the name where it stands alone.
    pub group: String,
    /// Its name within the group.
    pub name: String,
    /// Mean time of one element of its work, ns.
    pub mean_ns: f64,
    /// The 95 % interval of that, ns.
    pub interval_ns: [f64; 2],
}

fn json(file: &Path) -> io::Result<Value> {
    serde_json::from_str(&fs::read_to_string(file)?).map_err(io::Error::other)
}

/// Every benchmark below a folder of criterion, by group and name.
///
/// # Errors
/// When the folder, or a file that criterion writes, is not there or is no JSON.
pub fn found(folder: &Path) -> io::Result<Vec<Found>> {
    let mut all = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder)? {
            let path = entry?.path();
            if path.join("new/benchmark.json").is_file() {
                all.push(one(&path.join("new"))?);
            } else if path.is_dir() {
                folders.push(path);
            }
        }
    }
    all.sort_by(|a, b| (&a.group, &a.name).cmp(&(&b.group, &b.name)));
    Ok(all)
}

fn one(folder: &Path) -> io::Result<Found> {
    let about = json(&folder.join("benchmark.json"))?;
    let mean = &json(&folder.join("estimates.json"))?["mean"];
    // Without a throughput the work is one element.
    let elements = about["throughput"]["Elements"].as_f64().unwrap_or(1.0);
    let number = |value: &Value| {
        let ns = value.as_f64();
        ns.map(|ns| ns / elements)
            .ok_or_else(|| io::Error::other(format!("no mean in {}", folder.display())))
    };
    let interval = &mean["confidence_interval"];
    let group = about["group_id"].as_str().unwrap_or_default().to_owned();
    Ok(Found {
        name: about["function_id"].as_str().unwrap_or(&group).to_owned(),
        group,
        mean_ns: number(&mean["point_estimate"])?,
        interval_ns: [
            number(&interval["lower_bound"])?,
            number(&interval["upper_bound"])?,
        ],
    })
}

/// The same as tables: the daemon's own way, pieces of it and filters beside others, swings and the snapshot.
pub fn tables(all: &[Found]) -> String {
    let mut told = String::new();
    let of = |group: &'static str| all.iter().filter(move |found| found.group == group);
    let mut table = |title: &str, group: &'static str, base: &str| {
        let base = of(group).find(|found| found.name == base);
        let _ = write!(
            told,
            "{title}\n\n| | ns | 95 % of the mean | |\n| --- | --- | --- | --- |\n"
        );
        for found in of(group) {
            let ratio = base.map_or_else(String::new, |base| {
                format!("{:.2} ×", found.mean_ns / base.mean_ns)
            });
            let [low, high] = found.interval_ns;
            let _ = writeln!(
                told,
                "| {} | {:.0} | {low:.0} to {high:.0} | {ratio} |",
                found.name, found.mean_ns
            );
        }
        told.push('\n');
    };
    table(
        "A sample through the daemon's own code, with the lock of its board, its queues and looks at it, beside lines of text at 1 kHz:",
        "daemon",
        "csv 1000 Hz, 1 a read",
    );
    table(
        "Lines of text, beside finding their ends and commas and reading their numbers by libraries for that (the camber of a window is one look, not a sample):",
        "pieces",
        "memchr and fast-float",
    );
    table(
        "Filters by themselves, a step at 100 Hz, beside the one that the daemon has:",
        "filters",
        "vqf-rs",
    );
    let mut swings: Vec<f64> = of("swing").map(|found| found.mean_ns * 1e-6).collect();
    swings.sort_by(f64::total_cmp);
    if let (Some(middle), Some(longest)) = (swings.get(swings.len() / 2), swings.last()) {
        let _ = writeln!(
            told,
            "The joint solution of {} swings: {middle:.2} ms in the middle, {longest:.2} ms the longest.\n",
            swings.len()
        );
    }
    for found in of("snapshot of four boards to JSON") {
        let _ = writeln!(
            told,
            "A snapshot of four boards to JSON: {:.1} µs.",
            found.mean_ns * 1e-3
        );
    }
    told
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Files as criterion 0.8 writes them, cut to what is read.
    #[test]
    fn a_mean_is_told_for_each_element() {
        let folder = tempfile::tempdir().unwrap();
        let write = |place: &str, about: &str, mean: f64| {
            let place = folder.path().join(place).join("new");
            fs::create_dir_all(&place).unwrap();
            fs::write(place.join("benchmark.json"), about).unwrap();
            let bounds = format!(
                r#"{{"lower_bound": {}, "upper_bound": {}}}"#,
                mean * 0.9,
                mean * 1.1
            );
            let text = format!(
                r#"{{"mean": {{"confidence_interval": {bounds}, "point_estimate": {mean}}}}}"#
            );
            fs::write(place.join("estimates.json"), text).unwrap();
        };
        let filter = |name: &str| {
            format!(
                r#"{{"group_id": "filters", "function_id": "{name}", "throughput": {{"Elements": 20000}}}}"#
            )
        };
        write("filters/vqf-rs", &filter("vqf-rs"), 4e6);
        write("filters/other", &filter("other"), 1e6);
        let alone = r#"{"group_id": "snapshot of four boards to JSON", "function_id": null, "throughput": null}"#;
        write("snapshot", alone, 23_400.0);
        let all = found(folder.path()).unwrap();
        let means: Vec<_> = all
            .iter()
            .map(|found| (found.name.as_str(), found.mean_ns))
            .collect();
        assert_eq!(
            means,
            [
                ("other", 50.0),
                ("vqf-rs", 200.0),
                ("snapshot of four boards to JSON", 23_400.0)
            ]
        );
        let told = tables(&all);
        assert!(
            told.contains("| other | 50 | 45 to 55 | 0.25 × |"),
            "{told}"
        );
        assert!(
            told.contains("| vqf-rs | 200 | 180 to 220 | 1.00 × |"),
            "{told}"
        );
        assert!(told.contains("to JSON: 23.4 µs."), "{told}");
    }

    #[test]
    fn a_folder_without_benchmarks_is_told() {
        assert!(found(Path::new("/nowhere")).is_err());
        assert!(
            found(tempfile::tempdir().unwrap().path())
                .unwrap()
                .is_empty()
        );
    }
}
