//! What is done on an alarm: a command is run, the sound is sent somewhere. Neither keeps the
//! watch from listening.

use crate::cli::console::complain;
use crate::cli::tls;
use crate::error::{Error, Result};
use crate::live::Ring;
use crate::present::live::WatchJson;
use crate::present::tables::markers::write_wav;
use crate::tuning::live::WINDOW;
use std::io::{Cursor, Write};
use std::process::{Command, Stdio};
use std::thread::JoinHandle;
use std::time::Duration;

/// A send is tried so often, a little later each time.
const TRIES: u32 = 5;
/// Before the second try; doubled each time.
const PAUSE: Duration = Duration::from_secs(2);
/// One try may take so long.
const PATIENCE: Duration = Duration::from_secs(60);
/// Parts of a form are parted by this; no sound holds it.
const BORDER: &str = "tailbeat-5f2c1f0e7a8d4b6c9e3a";

/// Gives alarms.
pub struct Alarm {
    run: Option<String>,
    post: Option<reqwest::Url>,
    under_way: Vec<JoinHandle<()>>,
}

impl Alarm {
    /// By these means.
    ///
    /// # Errors
    /// The address is none.
    pub fn new(run: Option<String>, post: Option<String>) -> Result<Self> {
        let post = post
            .map(|text| {
                let url = reqwest::Url::parse(&text).ok();
                url.filter(|u| matches!(u.scheme(), "http" | "https"))
                    .ok_or_else(|| Error::BadSetting {
                        place: "--post".into(),
                        what: format!("{text} is no address to send to"),
                        remedy: "give the whole address, such as the desk's send-in page".into(),
                    })
            })
            .transpose()?;
        Ok(Self {
            run,
            post,
            under_way: Vec::new(),
        })
    }

    /// Gives one.
    pub fn give(&mut self, json: &WatchJson, sound: &Ring) {
        self.under_way.retain(|work| !work.is_finished());
        if let Some(command) = self.run.clone() {
            let line = json.line() + "\n";
            self.begin(move || run(&command, &line));
        }
        if let Some(url) = self.post.clone() {
            let name = format!("alarm-{}.wav", json.at.replace([':', '+'], "-"));
            match wav(sound) {
                Ok(bytes) => self.begin(move || send(&url, &name, &bytes)),
                Err(fault) => complain(&fault.to_string()),
            }
        }
    }

    fn begin(&mut self, work: impl FnOnce() + Send + 'static) {
        match std::thread::Builder::new().spawn(work) {
            Ok(handle) => self.under_way.push(handle),
            Err(fault) => complain(&format!("the alarm could not be given: {fault}")),
        }
    }

    /// Waits for alarms that are still on their way.
    pub fn wait(&mut self) {
        for work in self.under_way.drain(..) {
            let _ = work.join();
        }
    }
}

fn run(command: &str, line: &str) {
    let shell = if cfg!(windows) {
        ("cmd", "/C")
    } else {
        ("sh", "-c")
    };
    let child = Command::new(shell.0)
        .args([shell.1, command])
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .spawn();
    let done = child.and_then(|mut child| {
        if let Some(mut input) = child.stdin.take() {
            // A command that does not read is none the worse.
            let _ = input.write_all(line.as_bytes());
        }
        child.wait()
    });
    match done {
        Ok(status) if status.success() => {}
        Ok(status) => complain(&format!("--run: the command failed ({status})")),
        Err(fault) => complain(&format!("--run: {fault}")),
    }
}

/// The sound that is kept, as a file.
fn wav(sound: &Ring) -> Result<Vec<u8>> {
    let mut out = Cursor::new(Vec::new());
    let blocks = std::iter::once(Ok(sound.last(WINDOW)));
    write_wav(&mut out, "the alarm's sound", sound.rate(), blocks, &[])?;
    Ok(out.into_inner())
}

/// As a browser sends a form with one file.
fn form(name: &str, bytes: &[u8]) -> Vec<u8> {
    let mut body = format!(
        "--{BORDER}\r\nContent-Disposition: form-data; name=\"noticed\"\r\n\r\n\
         tailbeat watch gave an alarm\r\n\
         --{BORDER}\r\nContent-Disposition: form-data; name=\"file\"; filename=\"{name}\"\r\n\
         Content-Type: audio/wav\r\n\r\n"
    )
    .into_bytes();
    body.extend(bytes);
    body.extend(format!("\r\n--{BORDER}--\r\n").bytes());
    body
}

fn send(url: &reqwest::Url, name: &str, bytes: &[u8]) {
    // Secret words stand in addresses of this kind; they do not belong into complaints.
    let shown = url.host_str().unwrap_or("the address").to_owned();
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build();
    let Ok(runtime) = runtime else {
        return complain("--post: no way to send");
    };
    tls::ready();
    let client = reqwest::Client::builder()
        .timeout(PATIENCE)
        .redirect(reqwest::redirect::Policy::none())
        .build();
    let client = match client {
        Ok(client) => client,
        Err(fault) => return complain(&format!("--post: {}", fault.without_url())),
    };
    let mut pause = PAUSE;
    for attempt in 1..=TRIES {
        let request = client
            .post(url.clone())
            .header(
                "content-type",
                format!("multipart/form-data; boundary={BORDER}"),
            )
            .body(form(name, bytes));
        let why = match runtime.block_on(async { request.send().await }) {
            // A form is answered with where to go next.
            Ok(answer) if answer.status().as_u16() < 400 => return,
            Ok(answer) => answer.status().to_string(),
            Err(fault) => fault.without_url().to_string(),
        };
        complain(&format!(
            "--post: {shown} did not take it ({why}), try {attempt} of {TRIES}"
        ));
        if attempt < TRIES {
            std::thread::sleep(pause);
            pause *= 2;
        }
    }
}
