package main

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A file is written whole or stays what it was, and nothing is left beside it.
func TestWriteWhole(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "prices.csv")
	write := func(path, text string, failure error) error {
		return writeWhole(path, nil, func(w io.Writer) error {
			if _, err := io.WriteString(w, text); err != nil {
				return err
			}
			return failure
		})
	}
	holds := func(want string, files int) {
		t.Helper()
		got, err := os.ReadFile(path)
		all, err2 := os.ReadDir(dir)
		if string(got) != want || errors.Join(err, err2) != nil || len(all) != files {
			t.Errorf("%q, want %q, beside %v; %v", got, want, all, err)
		}
	}
	cut := errors.New("cut off")
	if err := write(path, "half", cut); !errors.Is(err, cut) {
		t.Error(err)
	}
	if all, _ := os.ReadDir(dir); len(all) != 0 {
		t.Errorf("left behind: %v", all)
	}
	if err := write(path, "first", nil); err != nil {
		t.Error(err)
	}
	holds("first", 1)
	if err := os.Chmod(path, 0o640); err != nil {
		t.Fatal(err)
	}
	if err := write(path, "half", cut); !errors.Is(err, cut) {
		t.Error(err)
	}
	holds("first", 1)
	link := filepath.Join(dir, "link.csv")
	if err := os.Symlink(path, link); err != nil {
		t.Fatal(err)
	}
	if err := write(link, "second", nil); err != nil {
		t.Error(err)
	}
	holds("second", 2) // through the link, which stands
	if info, err := os.Stat(path); err != nil || info.Mode() != 0o640 {
		t.Errorf("its mode was 0640 and is %v, %v", info.Mode(), err)
	}
	if err := write(os.DevNull, "third", nil); err != nil {
		t.Error(err)
	}
	if info, err := os.Stat(os.DevNull); err != nil || info.Mode().IsRegular() {
		t.Errorf("%s became a file: %v, %v", os.DevNull, info, err)
	}
	for _, bad := range []string{dir, filepath.Join(dir, "nothere", "a.csv")} {
		if err := write(bad, "x", nil); err == nil {
			t.Errorf("wrote %s", bad)
		}
	}
	var out strings.Builder
	if err := writeWhole("-", &out, func(w io.Writer) error { _, err := io.WriteString(w, "to stdout"); return err }); err != nil || out.String() != "to stdout" {
		t.Errorf("%q, %v", out.String(), err)
	}
}
