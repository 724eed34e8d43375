//! The longer texts of `--help`.

/// One line.
pub const ABOUT: &str = "Hears from a recording whether a radio repeater is deafening itself";

/// A paragraph.
pub const LONG_ABOUT: &str = "\
Hears from a recording whether a radio repeater is deafening itself.

Somebody complains that the repeater is noisy, or that it keeps dropping and coming back. Record \
its output for a few minutes, with any telephone, scanner or radio program, and let tailbeat \
listen: it finds every carrier drop and return, the hang time and the noise, and says what is \
going on, how sure that is, and what to do next.";

/// Under the short help.
pub const MORE: &str = "`tailbeat --help` has examples, `tailbeat COMMAND --help` all about one \
     command.";

/// Under the long help.
pub const EXAMPLES: &str = "\
Examples:
  What is going on here?
      tailbeat check evening.m4a
  The same with pictures, tables and a page to send around:
      tailbeat check evening.m4a --out evening
  You know that the hang time is 3 seconds; say so, it helps:
      tailbeat check evening.m4a --hang 3
  A hundred recordings, one line of JSON each:
      tailbeat check *.wav --json > results.jsonl
  Bash completions in the shell at hand:
      source <(tailbeat completions bash)

Exit status:
  0  analysed, whatever the verdict
  1  something could not be analysed; one line on standard error tells what
  2  wrong usage";

/// Under the long help of `check`.
pub const CHECK: &str = "\
Examples:
  A telephone's voice memo:
      tailbeat check memo.m4a
  Pictures, tables and a page, into the folder `memo`:
      tailbeat check memo.m4a --out memo
  A copy with markers at every event, for a sound editor:
      tailbeat check memo.m4a --out memo --markers
  Straight from another program:
      some-recorder | tailbeat check - --json
  All of a folder's recordings, one result a line, on one core:
      tailbeat check logger/*.wav --json --jobs 1
  The clips of a voice-activated recorder, put together by their start times:
      tailbeat check --clips scanner/2026-03-14_*.wav

A file named tailbeat.toml in the current folder, or named with --config, may state what you know \
of your station:
      [station]
      hang_s = 3.0
      listening = \"open_squelch\"
Where a flag and the file disagree, the flag counts.

How to record well: three minutes without a break while it happens, by cable rather than at the \
loudspeaker, voice activation off. With the squelch open every drop shows best.

Exit status: 0 analysed, whatever the verdict; 1 something could not be analysed; 2 wrong usage.";
