//go:build !linux

package compute_test

import "time"

var began = time.Now()

// threadTime is the time that has gone by; what else runs counts.
func threadTime() time.Duration { return time.Since(began) }
