//! How a JSON document is broken into lines. It knows no record.

use serde_json::ser::Formatter;
use std::io::{self, Write};

/// Compact, but with a line for each key of the document and for each entry of its lists, so that two results can be
/// laid side by side.
#[derive(Default)]
pub(super) struct LineASite {
    depth: usize,
}

impl LineASite {
    fn line<W: Write + ?Sized>(&self, writer: &mut W) -> io::Result<()> {
        if self.depth <= 2 { writer.write_all(b"\n") } else { Ok(()) }
    }
}

impl Formatter for LineASite {
    fn begin_object<W: Write + ?Sized>(&mut self, writer: &mut W) -> io::Result<()> {
        self.depth += 1;
        writer.write_all(b"{")
    }

    fn end_object<W: Write + ?Sized>(&mut self, writer: &mut W) -> io::Result<()> {
        self.depth = self.depth.saturating_sub(1);
        if self.depth == 0 {
            writer.write_all(b"\n")?;
        }
        writer.write_all(b"}")
    }

    fn begin_object_key<W: Write + ?Sized>(&mut self, writer: &mut W, first: bool) -> io::Result<()> {
        if !first {
            writer.write_all(b",")?;
        }
        if self.depth == 1 { writer.write_all(b"\n") } else { Ok(()) }
    }

    fn begin_array<W: Write + ?Sized>(&mut self, writer: &mut W) -> io::Result<()> {
        self.depth += 1;
        writer.write_all(b"[")
    }

    fn end_array<W: Write + ?Sized>(&mut self, writer: &mut W) -> io::Result<()> {
        self.depth = self.depth.saturating_sub(1);
        writer.write_all(b"]")
    }

    fn begin_array_value<W: Write + ?Sized>(&mut self, writer: &mut W, first: bool) -> io::Result<()> {
        if !first {
            writer.write_all(b",")?;
        }
        self.line(writer)
    }
}
