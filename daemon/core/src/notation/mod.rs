//! Text a person types.
