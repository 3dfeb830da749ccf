package main

import (
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	wattlev1 "wattle/api/wattle/v1"
)

// survey is what is added to a job file from files of their own: a map, and a
// traverse.
type survey struct {
	geojson, traverse string
	closed            bool
	// run names the traverse's run.
	run string
}

// Larger files than the service takes, so that it can say so itself.
const (
	maxMapBytes      = 4 << 20
	maxTraverseBytes = 1 << 20
)

// flags adds the flags; runHelp says what else --run does.
func (s *survey) flags(cmd *cobra.Command, runHelp string) {
	f := cmd.Flags()
	f.StringVar(&s.geojson, "geojson", "", "add the runs, gates, pins and keep-outs of this GeoJSON `file` to the job")
	f.StringVar(&s.traverse, "traverse", "", "add the traverse in this text `file`, a leg on each line such as N 45-30-00 E 120.50 ft, as a run")
	f.BoolVar(&s.closed, "closed", false, "the traverse comes back to its start")
	f.StringVar(&s.run, "run", "", runHelp)
}

const surveyHelp = `--geojson and --traverse add what is measured in files of its own to the job; the
job file may then lack its site.`

// runHelp is about --run where it does nothing else.
const runHelp = "the `id` of the traverse's run (default: the name of its file)"

// named refuses a name for no run, where --run does nothing else.
func (s *survey) named(cmd *cobra.Command) error {
	if s.run != "" && s.traverse == "" {
		return wrongUsef(cmd, "--run names the run of --traverse")
	}
	return nil
}

// read reads the job file and adds the others. A job whose site is in them needs
// only a spec.
func (s *survey) read(cmd *cobra.Command, path string) (*wattlev1.CreateQuoteRequest, error) {
	stdin := 0
	for _, file := range []string{path, s.geojson, s.traverse} {
		if file == "-" {
			stdin++
		}
	}
	switch {
	case stdin > 1:
		return nil, wrongUsef(cmd, "standard input can be one file only")
	case s.closed && s.traverse == "":
		return nil, wrongUsef(cmd, "--closed is about a traverse; name its file with --traverse")
	case s.geojson == "" && s.traverse == "":
		return readJob(cmd.InOrStdin(), path)
	}
	data, err := readFile(cmd.InOrStdin(), path, maxJobBytes)
	if err != nil {
		return nil, err
	}
	job, err := decodeSpecJob(path, data)
	if err != nil {
		return nil, err
	}
	if err := hasSpec(path, job); err != nil {
		return nil, err
	}
	if job.GetSite() == nil {
		job.Site = &wattlev1.Site{}
	}
	if err := s.add(cmd.InOrStdin(), job.GetSite()); err != nil {
		return nil, err
	}
	return job, measured{"site", "spec"}.Validate(job)
}

func (s *survey) add(stdin io.Reader, site *wattlev1.Site) error {
	if s.geojson != "" {
		if site.GetGeojson() != "" {
			return fmt.Errorf("the job has a GeoJSON of its own; expected one, here or with --geojson")
		}
		text, err := readFile(stdin, s.geojson, maxMapBytes)
		if err != nil {
			return err
		}
		site.Geojson = string(text)
	}
	if s.traverse != "" {
		text, err := readFile(stdin, s.traverse, maxTraverseBytes)
		if err != nil {
			return err
		}
		site.Runs = append(site.Runs, &wattlev1.Run{
			Id: s.name(site), Closed: s.closed, Traverse: &wattlev1.Traverse{Text: string(text)},
		})
	}
	return nil
}

// name is the id of the traverse's run. A --run that is a run of the job file
// means that one.
func (s *survey) name(site *wattlev1.Site) string {
	own := slices.ContainsFunc(site.GetRuns(), func(r *wattlev1.Run) bool { return r.GetId() == s.run })
	switch file := filepath.Base(s.traverse); {
	case s.run != "" && !own:
		return s.run
	case file == "-":
		return "traverse"
	default:
		return strings.TrimSuffix(file, filepath.Ext(file))
	}
}
