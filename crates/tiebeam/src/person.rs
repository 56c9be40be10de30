//! Whose foot it is, as the commands ask for it: age, sex, side.

use clap::ValueEnum;
use knowledge::Person;
use terms::{Sex, Side};

// What yardsticks hang on; both may be left open. (A `///` here would become the help of the whole command.)
#[derive(clap::Args)]
pub struct PersonWords {
    /// Age in years, for yardsticks that depend on it
    #[arg(long)]
    age: Option<f64>,
    /// Sex, for yardsticks that depend on it
    #[arg(long, value_enum)]
    sex: Option<SexWord>,
}

impl PersonWords {
    pub fn person(&self) -> Person {
        Person {
            age_years: self.age,
            sex: self.sex.map(|s| match s {
                SexWord::Female => Sex::Female,
                SexWord::Male => Sex::Male,
            }),
        }
    }
}

#[derive(Clone, Copy, ValueEnum)]
enum SexWord {
    Female,
    Male,
}

#[derive(Clone, Copy, ValueEnum)]
pub enum SideWord {
    Left,
    Right,
}

impl SideWord {
    pub fn side(self) -> Side {
        match self {
            SideWord::Left => Side::Left,
            SideWord::Right => Side::Right,
        }
    }
}
