// Package browser looks at the notebook's pages in a real browser for tests.
// It assumes Chromium on the PATH, or its path in CHROMIUM, and is compiled
// only with the build tag "browser".
package browser
