//! The scenarios that come with the simulator.

const SHIPPED: [(&str, &str); 9] = [
    (
        "garage-good",
        include_str!("../../scenarios/garage-good.toml"),
    ),
    (
        "garage-cheap",
        include_str!("../../scenarios/garage-cheap.toml"),
    ),
    (
        "unequal-stops",
        include_str!("../../scenarios/unequal-stops.toml"),
    ),
    (
        "brake-slip",
        include_str!("../../scenarios/brake-slip.toml"),
    ),
    ("body-roll", include_str!("../../scenarios/body-roll.toml")),
    ("no-gyro", include_str!("../../scenarios/no-gyro.toml")),
    ("bench", include_str!("../../scenarios/bench.toml")),
    (
        "bent-knuckle",
        include_str!("../../scenarios/bent-knuckle.toml"),
    ),
    (
        "oblique-mounts",
        include_str!("../../scenarios/oblique-mounts.toml"),
    ),
];

pub(super) fn names() -> impl Iterator<Item = &'static str> {
    SHIPPED.iter().map(|(name, _)| *name)
}

pub(super) fn text(name: &str) -> Option<&'static str> {
    SHIPPED
        .iter()
        .find(|(shipped, _)| *shipped == name)
        .map(|(_, text)| *text)
}
