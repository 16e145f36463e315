package compute_test

import (
	"syscall"
	"time"
)

// threadTime is what the thread has reckoned so far; others on the machine do
// not count. The goroutine must be locked to it.
func threadTime() time.Duration {
	const thisThread = 1 // RUSAGE_THREAD
	var u syscall.Rusage
	if syscall.Getrusage(thisThread, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano())
}
