package main

import (
	"context"
	"os"
	"strings"
)

// keyFiles reads each file of secrets as serve will.
func (d *doctor) keyFiles(context.Context) []finding {
	return []finding{d.operatorKeyFile(), d.webhookKeyFile()}
}

func (d *doctor) operatorKeyFile() finding {
	const what = "operator's key"
	switch {
	case d.operatorKey == "" && d.local:
		return found(what, unused, "serve --local makes one in its data folder")
	case d.operatorKey == "":
		return found(what, unused, "--operator-key-file is not given, so no company can be made")
	}
	if f, bad := secretFile(what, d.operatorKey); bad {
		return f
	}
	if _, err := readSecret(d.operatorKey); err != nil {
		return found(what, missing, "%v", err).but("head -c 32 /dev/urandom | base64 >%s", shellWord(d.operatorKey))
	}
	return found(what, fine, "%s holds a key, for its owner alone to read", d.operatorKey)
}

func (d *doctor) webhookKeyFile() finding {
	const what = "webhooks' keys"
	switch {
	case d.work.keyFile == "" && d.local:
		return found(what, unused, "serve --local makes some in its data folder")
	case d.work.keyFile == "":
		return found(what, unused, "--webhook-key-file is not given, so there are no webhooks")
	}
	if f, bad := secretFile(what, d.work.keyFile); bad {
		return f
	}
	if _, err := d.work.guard(); err != nil { // its text shows no line of the file
		return found(what, missing, "%v", err).but("head -c 32 /dev/urandom | base64 >>%s; the first line seals, every line opens", shellWord(d.work.keyFile))
	}
	return found(what, fine, "%s holds keys, for its owner alone to read", d.work.keyFile)
}

// secretFile says what is wrong with a file that holds a secret.
func secretFile(what, path string) (finding, bool) {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return found(what, missing, "%v", err).but("make the file, for its owner alone to read"), true
	case !info.Mode().IsRegular():
		return found(what, missing, "%s is no file", path), true
	case info.Mode().Perm()&0o077 != 0:
		return found(what, warning, "%s can be read by others than its owner (%s)", path, info.Mode().Perm()).but("chmod 600 %s", shellWord(path)), true
	default:
		return openable(what, path)
	}
}

// openable looks whether this user may read the file.
func openable(what, path string) (finding, bool) {
	file, err := os.Open(path)
	if err != nil {
		return found(what, missing, "%v", err).but("let the user that runs the service read it"), true
	}
	_ = file.Close() // it was only opened
	return finding{}, false
}

// shellWord is a path as a command line takes it.
func shellWord(path string) string {
	if strings.ContainsAny(path, " '\"\\$`*?;&|<>()#~\t\n") {
		return "'" + strings.ReplaceAll(path, "'", `'\''`) + "'"
	}
	return path
}
