//go:build !linux

package localpg

import "syscall"

// dieWithParent: only Linux can; elsewhere the next start ends the orphan.
func dieWithParent(*syscall.SysProcAttr, syscall.Signal) {}

// worksIn: no portable way to ask.
func worksIn(int, string) (uses, known bool) { return false, false }

// workers falls back on what the pid file says.
func workers(data string) []int {
	if pid := postmasterPID(data); pid != 0 {
		return []int{pid}
	}
	return nil
}
