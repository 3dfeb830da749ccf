package main

import (
	"fmt"
	"io"
	"os"
	"strings"

	"golang.org/x/term"
)

// progressFrom is the size from which sending takes long enough to watch.
const progressFrom = 4 << 20

const progressWidth = 40

// progress is a bar of what is done of a total, such as bytes sent, or a count
// where nobody knows how many there will be. A nil one shows nothing.
type progress struct {
	w           io.Writer
	total, sent int64 // total is 0 where it is not known
	drawn       int64
	// unit is what a count is told in, and each how many that is.
	unit string
	each int64
}

// newProgress is nil unless w is a terminal and the work is long, or may be.
func newProgress(w io.Writer, total int64) *progress {
	if total > 0 && total < progressFrom {
		return nil
	}
	return newBar(w, total)
}

// newCount is a bar of rows, or a count of thousands of them; nil unless w is a
// terminal.
func newCount(w io.Writer, total int64) *progress {
	p := newBar(w, total)
	if p != nil {
		p.unit, p.each = "thousand rows read", 1000
	}
	return p
}

// newBar is nil unless w is a terminal.
func newBar(w io.Writer, total int64) *progress {
	f, ok := w.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return nil
	}
	return &progress{w: w, total: total, drawn: -1, unit: "MiB sent", each: 1 << 20}
}

func (p *progress) add(n int) {
	if p == nil {
		return
	}
	p.sent += int64(n)
	if p.total == 0 {
		if full := p.sent / p.each; full != p.drawn {
			p.drawn = full
			fmt.Fprintf(p.w, "\r%d %s", full, p.unit)
		}
		return
	}
	full := min(p.sent, p.total) * progressWidth / p.total
	if full == p.drawn {
		return
	}
	p.drawn = full
	fmt.Fprintf(p.w, "\r[%s%s] %3d %%", strings.Repeat("#", int(full)), strings.Repeat(" ", progressWidth-int(full)), min(p.sent, p.total)*100/p.total)
}

// end takes the bar away.
func (p *progress) end() {
	if p != nil {
		fmt.Fprint(p.w, "\r"+strings.Repeat(" ", progressWidth+8)+"\r")
	}
}
