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

// progress is a bar of what is done of a total, such as bytes sent. A nil one shows nothing.
type progress struct {
	w           io.Writer
	total, sent int
	drawn       int
}

// newProgress is nil unless w is a terminal and the work is long.
func newProgress(w io.Writer, total int) *progress {
	if total < progressFrom {
		return nil
	}
	return newBar(w, total)
}

// newBar is nil unless w is a terminal and there is anything to do.
func newBar(w io.Writer, total int) *progress {
	f, ok := w.(*os.File)
	if !ok || total <= 0 || !term.IsTerminal(int(f.Fd())) {
		return nil
	}
	return &progress{w: w, total: total, drawn: -1}
}

func (p *progress) add(n int) {
	if p == nil {
		return
	}
	p.sent += n
	full := min(p.sent*progressWidth/p.total, progressWidth)
	if full == p.drawn {
		return
	}
	p.drawn = full
	fmt.Fprintf(p.w, "\r[%s%s] %3d %%", strings.Repeat("#", full), strings.Repeat(" ", progressWidth-full), min(p.sent*100/p.total, 100))
}

// end takes the bar away.
func (p *progress) end() {
	if p != nil {
		fmt.Fprint(p.w, "\r"+strings.Repeat(" ", progressWidth+8)+"\r")
	}
}
