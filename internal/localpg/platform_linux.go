package localpg

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strconv"
	"syscall"
)

// dieWithParent has the kernel signal the child when we are killed.
func dieWithParent(attr *syscall.SysProcAttr, sig syscall.Signal) { attr.Pdeathsig = sig }

// worksIn says whether a process has data as its working folder, as every
// process of a Postgres has. known is false where the kernel will not tell us.
func worksIn(pid int, data string) (uses, known bool) {
	cwd, err := os.Readlink(fmt.Sprintf("/proc/%d/cwd", pid))
	switch {
	case err == nil:
		return cwd == data, true
	case errors.Is(err, fs.ErrNotExist): // gone, or dead and not collected
		return false, true
	default:
		return false, false
	}
}

// workers are the processes whose working folder is data.
func workers(data string) []int {
	entries, err := os.ReadDir("/proc")
	if err != nil {
		return nil
	}
	var pids []int
	for _, e := range entries {
		pid, err := strconv.Atoi(e.Name())
		if err != nil {
			continue
		}
		if uses, _ := worksIn(pid, data); uses {
			pids = append(pids, pid)
		}
	}
	return pids
}
