package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestSpecsOfACompany saves, lists, shows, uses and withdraws a spec through a
// real service.
func TestSpecsOfACompany(t *testing.T) {
	dir := dataDir(t)
	reach := start(t, "--local", "--data-dir", dir).harrow(t, dir)
	run := func(want int, args ...string) (stdout, stderr string) {
		t.Helper()
		return wattle(t, want, append(args, reach...)...)
	}
	says := func(got, want string) {
		t.Helper()
		if !strings.Contains(got, want) {
			t.Errorf("expected %q in:\n%s", want, got)
		}
	}
	file := func(name, text string) string {
		t.Helper()
		path := filepath.Join(t.TempDir(), name)
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	six, five := file("six.yaml", "spec: {name: Cedar privacy, height: 6 ft}"), file("five.yaml", "spec: {name: Cedar privacy, height: 5 ft}")

	out, _ := run(exitDone, "spec", "save", "cedar-privacy", six, "--request-id", "first")
	says(out, "companies/harrow/specs/cedar-privacy, version 1: saved\n")
	out, _ = run(exitDone, "spec", "save", "cedar-privacy", five)
	says(out, "version 2: saved\n")
	out, _ = run(exitDone, "spec", "save", "cedar-privacy", five)
	says(out, "version 2: saved already, nothing was stored\n")
	out, _ = run(exitDone, "spec", "save", "cedar-privacy", six, "--request-id", "first")
	says(out, "version 1: saved\n")
	_, bad := run(exitRefused, "spec", "save", "cedar-privacy", five, "--request-id", "first")
	says(bad, `the request id "first" was used for another request`)
	_, bad = run(exitFailed, "spec", "save", "Cedar", file("bad.yaml", "spec: {height: tall}"))
	says(bad, `name: "Cedar" is not a name`)
	says(bad, `spec.height: "tall"`)

	out, _ = run(exitDone, "spec", "list", "--standard")
	says(out, "companies/harrow/specs/cedar-privacy        2  saved     Cedar privacy")
	says(out, "standard/vertical-boards-6ft")
	out, _ = run(exitDone, "spec", "list", "cedar-privacy", "--format", "csv")
	if strings.Count(out, "\n") != 3 {
		t.Errorf("expected a head and two versions in:\n%s", out)
	}

	// What show prints can be saved, and is the same spec.
	out, _ = run(exitDone, "spec", "show", "cedar-privacy@1")
	says(out, "# companies/harrow/specs/cedar-privacy, version 1: Cedar privacy\n")
	says(out, "  height: 6 ft\n")
	run(exitDone, "spec", "save", "copy", file("copy.yaml", out))
	hash := func(entry string) string {
		t.Helper()
		shown, _ := run(exitDone, "spec", "show", entry)
		return field(t, shown, "# rules version ")
	}
	if hash("copy") != hash("cedar-privacy@1") {
		t.Error("a copy of a spec is another spec")
	}

	// A quote by name keeps the whole spec, and says where it came from.
	run(exitDone, "prices", "import", demoMarch, "--mode", "patch")
	job, err := os.ReadFile(demoJob)
	if err != nil {
		t.Fatal(err)
	}
	site, _, _ := strings.Cut(string(job), "\nspec:")
	out, _ = run(exitDone, "quote", "create", file("job.yaml", site+"\nsaved_spec: cedar-privacy@1\n"), "--format", "json")
	says(out, `"saved_spec": "cedar-privacy@1"`)
	says(out, `"height": "6 ft"`)

	out, _ = run(exitDone, "spec", "withdraw", "cedar-privacy")
	says(out, "version 3: withdrawn\n")
	if out, _ = run(exitDone, "spec", "list"); strings.Contains(out, "cedar-privacy") {
		t.Errorf("what is withdrawn is listed:\n%s", out)
	}
	_, bad = run(exitRefused, "quote", "create", file("job.yaml", site+"\nsaved_spec: cedar-privacy\n"))
	says(bad, `the spec "cedar-privacy" is withdrawn in version 3`)
	out, _ = run(exitDone, "spec", "show", "cedar-privacy")
	says(out, "# withdrawn")
	_, bad = run(exitFailed, "spec", "show", "pine")
	says(bad, `there is no spec "pine"`)
}
