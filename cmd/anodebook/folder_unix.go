//go:build unix

package main

import (
	"errors"
	"fmt"
	"os"
	"syscall"
	"time"
)

// patience is how long a run waits for another that writes the same folder.
const patience = 30 * time.Second

// lockFolder keeps other runs from writing the folder at the same time; the
// system frees it when the program ends, however it ends. A file system that
// knows no locks goes without.
func lockFolder(dir string) (unlock func(), err error) {
	f, err := os.Open(dir)
	if err != nil {
		return nil, err
	}
	for waited := time.Duration(0); ; waited += 10 * time.Millisecond {
		err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		switch {
		case errors.Is(err, syscall.EINTR):
		case !errors.Is(err, syscall.EWOULDBLOCK):
			return func() { f.Close() }, nil
		case waited >= patience:
			f.Close()
			return nil, hinted{fmt.Errorf("%s: another run of anodebook is writing into it", dir),
				"wait until it has ended, or choose another folder with -o"}
		}
		time.Sleep(10 * time.Millisecond)
	}
}
