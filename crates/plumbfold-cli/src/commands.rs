//! One file per command. A command is a struct whose doc comment is its help and whose `run`
//! does the work; to add one, write its file and name it twice below.

// Declared here and not by the macro below: rustfmt only follows modules it can see.
mod check;
mod balance;
mod aero;
mod fly;
mod outline;
mod trace;
mod balance_point;
mod differ;
mod mend;
mod why;
mod series;
mod compare;
mod tolerance;
mod best;
mod spoil;
mod fold;
mod draw;
mod template;
mod steps;
mod booklet;
mod card;
mod model;
mod format;
mod log;
mod results;
mod settle;
mod path;
mod calibrate;
mod serve;
mod new;
mod completions;
mod man;
mod validation;
mod licences;

use clap::Parser;

use crate::error::Error;
use crate::options::Global;
use crate::system::System;

/// Folded-paper gliders: from a sheet and a list of folds to where the plane balances, how it
/// flies, and what to change.
#[derive(Parser)]
#[command(name = "plumbfold", version, max_term_width = 96, after_help = AFTER)]
pub struct Cli {
    #[command(subcommand)]
    pub command: Command,
    #[command(flatten)]
    pub global: Global,
}

const AFTER: &str = "\
Start here:
  plumbfold new my.plane      write a commented design to change
  plumbfold check my.plane    fold it, balance it, draw it

Saved options: lines such as `hall-length = 20 m` or `speed = 3.5 m/s` in
~/.config/plumbfold/config hold for every command that takes them; so do height, elevation,
hall-height, temperature, pressure, humidity, creep, units, color, notebook, and sheet for `new`.

Exit codes: 0 done, 1 the input was wrong, 2 the command line was wrong,
3 a check that was asked for did not hold.";

macro_rules! commands {
    ($($module:ident :: $name:ident),* $(,)?) => {
        /// What to do.
        #[derive(clap::Subcommand)]
        #[allow(clippy::large_enum_variant, reason = "there is one, made once")]
        pub enum Command {
            $($name($module::$name)),*
        }

        impl Command {
            /// Does it.
            pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
                match self {
                    $(Self::$name(command) => command.run(global, system)),*
                }
            }
        }
    };
}

commands! {
    check::Check,
    balance::Balance,
    aero::Aero,
    fly::Fly,
    outline::Outline,
    trace::Trace,
    balance_point::BalancePoint,
    differ::Differ,
    mend::Mend,
    why::Why,
    series::Series,
    compare::Compare,
    tolerance::Tolerance,
    best::Best,
    spoil::Spoil,
    fold::Fold,
    draw::Draw,
    template::Template,
    steps::Steps,
    booklet::Booklet,
    card::Card,
    model::Model,
    format::Format,
    log::Log,
    results::Results,
    settle::Settle,
    path::Path,
    calibrate::Calibrate,
    serve::Serve,
    new::New,
    completions::Completions,
    man::Man,
    validation::Validation,
    licences::Licences,
}
