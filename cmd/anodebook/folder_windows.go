package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"syscall"
	"time"
)

// patience is how long a run waits for another that writes the same folder.
const patience = 30 * time.Second

// lockFolder keeps other runs from writing the folder at the same time, with a
// file that nobody else can open; the system removes it when the program ends,
// however it ends.
func lockFolder(dir string) (unlock func(), err error) {
	name, err := syscall.UTF16PtrFromString(filepath.Join(dir, ".anodebook-lock"))
	if err != nil {
		return nil, err
	}
	const (
		deleteOnClose    = 0x04000000
		sharingViolation = syscall.Errno(32)
	)
	for waited := time.Duration(0); ; waited += 10 * time.Millisecond {
		h, err := syscall.CreateFile(name, syscall.GENERIC_WRITE, 0, nil, syscall.OPEN_ALWAYS,
			syscall.FILE_ATTRIBUTE_HIDDEN|deleteOnClose, 0)
		switch {
		case err == nil:
			return func() { syscall.CloseHandle(h) }, nil
		case !errors.Is(err, sharingViolation) && !errors.Is(err, syscall.ERROR_ACCESS_DENIED):
			return nil, err
		case waited >= patience:
			return nil, hinted{fmt.Errorf("%s: cannot be written into, or another run of anodebook is doing so", dir),
				"wait until it has ended, or choose another folder with -o"}
		}
		time.Sleep(10 * time.Millisecond)
	}
}
