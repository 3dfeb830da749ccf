package main

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// writeWhole writes a file that is there whole or, where write fails or the
// program is cut off, as it was before: a file beside it takes its place at the
// end. "-" is stdout, and that is written as it comes, as is what is no regular
// file.
func writeWhole(path string, stdout io.Writer, write func(io.Writer) error) (err error) {
	if path == "-" {
		return write(stdout)
	}
	if behind, err := filepath.EvalSymlinks(path); err == nil {
		path = behind
	}
	mode := os.FileMode(0o600) // it may tell what things cost us
	switch info, err := os.Stat(path); {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return err
	case info.IsDir():
		return &fs.PathError{Op: "write", Path: path, Err: errors.New("is a folder")}
	case !info.Mode().IsRegular():
		return writeInto(path, os.O_WRONLY, write)
	default:
		mode = info.Mode().Perm() // as whoever made it wanted it
	}
	beside := filepath.Join(filepath.Dir(path), ".wattle-"+newRequestID()+".part")
	defer func() {
		if err != nil {
			err = errors.Join(err, gone(os.Remove(beside)))
		}
	}()
	if err := writeInto(beside, os.O_WRONLY|os.O_CREATE|os.O_EXCL, write); err != nil {
		return err
	}
	if err := os.Chmod(beside, mode); err != nil {
		return err
	}
	return os.Rename(beside, path)
}

func writeInto(path string, flags int, write func(io.Writer) error) error {
	f, err := os.OpenFile(path, flags, 0o600)
	if err != nil {
		return err
	}
	err = write(f)
	if err == nil && flags&os.O_CREATE != 0 {
		err = f.Sync() // before its name says that it is whole
	}
	return errors.Join(err, f.Close())
}

// gone is nil where a file was not there to be removed.
func gone(err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}
