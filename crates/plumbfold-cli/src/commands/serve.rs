use std::net::{IpAddr, Ipv4Addr, UdpSocket};
use std::path::PathBuf;
use std::time::Duration;

use plumbfold_view::serving::Serving;
use qrcode::QrCode;
use qrcode::render::unicode::Dense1x2;

use crate::error::Error;
use crate::notebook_file::{NotebookOption, told};
use crate::options::Global;
use crate::report::json;
use crate::system::System;
use crate::web::{self, Bench, DesignFolder, Hall, Sharing};

/// Open the bench: a page on this machine where a plane is designed by looking
///
/// Sheet, folds, balance, throw and remedies as one live picture. Only this
/// machine can reach it, and only who knows the address it shows, which is
/// another one each time; only the designs of one folder are read, and they are
/// written only when you save. Ctrl-C ends it.
///
/// --share offers one thing more to phones in the same network: the form that keeps throws in the
/// notebook, by a link with a secret that the terminal shows as a square to be
/// photographed. Whoever has the link sees the names of planes and the last
/// throws, adds throws, says where they are made, takes the last one back, and
/// reaches nothing else. It is not encrypted: others in the same network could
/// read along.
///
/// Examples:
///   plumbfold serve
///   plumbfold serve designs/halyard.plane
///   plumbfold serve designs --port 8123 --no-open
///   plumbfold serve designs --share                (phones keep throws, for two hours)
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Serve {
    /// A design, or a folder of designs
    #[arg(default_value = ".")]
    path: PathBuf,
    /// Do not open the browser
    #[arg(long)]
    no_open: bool,
    /// Port to listen on; otherwise one that is the folder's own, or any that is free
    #[arg(long, value_name = "N", default_value_t = 0, hide_default_value = true)]
    port: u16,
    /// Offer the form for throws to phones in this network, for so many minutes
    #[arg(long, value_name = "MINUTES", num_args = 0..=1, require_equals = true, default_missing_value = "120", value_parser = clap::value_parser!(u16).range(1..=1440))]
    share: Option<u16>,
    /// Address of this machine that phones come to; otherwise the one it has in its network
    #[arg(long, value_name = "IP", requires = "share")]
    share_address: Option<IpAddr>,
    #[command(flatten)]
    notebook: NotebookOption,
}

impl Serve {
    /// Serves until Ctrl-C.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        let bench = Bench::new(DesignFolder::open(&self.path)?, self.notebook.clone());
        let sharing = self.sharing(bench.planes())?;
        let mut told = Ok(());
        let ready = |address: &str, form: Option<&str>| {
            told = if global.json {
                let form = form.map(str::to_owned);
                json::answer(system, &Serving { address: address.to_owned(), form })
            } else {
                system.answer(&format!("{address}\n"))
            };
            if let (Some(form), Some(minutes)) = (form, self.share) {
                system.message(&shared(form, minutes));
            }
            if !self.no_open && open::that_detached(address).is_err() {
                system.message("no browser could be opened; open the address above yourself\n");
            }
        };
        // The system is the answer's until then; this is a remark.
        let unshared = || eprintln!("The form is shared no longer; the bench goes on.");
        web::serve(bench, self.port, sharing, ready, unshared).map_err(|e| {
            let port =
                if self.port == 0 { String::new() } else { format!(" on port {}", self.port) };
            Error::input(format!("cannot listen{port}: {e}")).hint(match self.share_address {
                Some(_) => "leave out --share-address, or name an address that this machine has",
                None => "leave out --port to take a free one",
            })
        })?;
        told
    }

    fn sharing(&self, planes: Vec<String>) -> Result<Option<Sharing>, Error> {
        let Some(minutes) = self.share else { return Ok(None) };
        let address = self.share_address.or_else(own_address).ok_or_else(|| {
            Error::input("this machine has no address that phones could come to")
                .hint("connect it to the network of the phones, or give --share-address")
        })?;
        // A notebook that cannot be written is told now, not to a phone in the hall.
        let began = self.notebook.write()?.hours_ago(0).map_err(told)?;
        let lasts = Duration::from_secs(60 * u64::from(minutes));
        Ok(Some(Sharing { hall: Hall::new(self.notebook.clone(), planes, began), address, lasts }))
    }
}

/// The address this machine has where it reaches others. Nothing is sent: choosing a way is enough,
/// and 192.0.2.1 is nobody's (RFC 5737).
fn own_address() -> Option<IpAddr> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9)).ok()?;
    let own = socket.local_addr().ok()?.ip();
    (!own.is_unspecified() && !own.is_loopback()).then_some(own)
}

/// The link to the form, as a square and in letters, and what it gives away.
fn shared(form: &str, minutes: u16) -> String {
    let square = QrCode::new(form).map(|code| {
        // Dark on light, whatever the colours of the terminal: cameras want it so.
        let drawn = code.render::<Dense1x2>().quiet_zone(true).build();
        drawn.lines().map(|line| format!("\x1b[30;107m{line}\x1b[0m\n")).collect::<String>()
    });
    format!(
        "{}{form}\n\
         The form for throws is shared for {}. Whoever has this link and is in this network sees the \
         names of planes and the last throws, adds throws, says where they are made and takes back \
         throws made since now, the last one first; nothing else. It is not encrypted. Ctrl-C ends \
         it.\n",
        square.unwrap_or_default(),
        plumbfold_view::said::count(minutes.into(), "minute", "minutes")
    )
}
