//! Text, JSON and other ways out.
