//go:build browser

package browser

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// Browser is one headless browser with one tab.
type Browser struct {
	t        testing.TB
	ctx      context.Context
	mu       sync.Mutex
	console  []string
	requests []string
}

// Open starts a browser that ends with the test. Without Chromium the test is
// skipped, unless BROWSER_REQUIRED is set.
func Open(t testing.TB) *Browser {
	t.Helper()
	path := os.Getenv("CHROMIUM")
	if path == "" {
		var err error
		if path, err = exec.LookPath("chromium"); err != nil {
			if os.Getenv("BROWSER_REQUIRED") != "" {
				t.Fatal("no chromium on the PATH")
			}
			t.Skip("no chromium on the PATH")
		}
	}
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.UserDataDir(t.TempDir()),
		chromedp.NoSandbox, chromedp.DisableGPU, chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("hide-scrollbars", true))
	alloc, stop := chromedp.NewExecAllocator(context.Background(), opts...)
	ctx, done := chromedp.NewContext(alloc)
	t.Cleanup(func() { done(); stop() })
	require.NoError(t, chromedp.Do(ctx, chromedp.Navigate("about:blank")))
	ctx, late := context.WithTimeout(ctx, 5*time.Minute)
	t.Cleanup(late)
	b := &Browser{t: t, ctx: ctx}
	require.NoError(t, chromedp.Listen(ctx, func(ev any) {
		b.mu.Lock()
		defer b.mu.Unlock()
		switch ev := ev.(type) {
		case *runtime.EventConsoleAPICalled:
			for _, a := range ev.Args {
				b.console = append(b.console, string(ev.Type)+": "+string(a.Value))
			}
		case *runtime.EventExceptionThrown:
			b.console = append(b.console, "exception: "+ev.ExceptionDetails.Text)
		case *network.EventRequestWillBeSent:
			b.requests = append(b.requests, ev.Request.URL)
		}
	}))
	_, err := chromedp.Call(ctx, network.Enable, network.EnableParams{})
	require.NoError(t, err)
	_, err = chromedp.Call(ctx, runtime.Enable, cdp.Empty{})
	require.NoError(t, err)
	return b
}

// Show loads a page from its bytes through a file of its own, at a width in
// CSS pixels, in a light or dark scheme ("light", "dark").
func (b *Browser) Show(html []byte, width int, scheme string) {
	b.t.Helper()
	file := filepath.Join(b.t.TempDir(), "page.html")
	require.NoError(b.t, os.WriteFile(file, html, 0o600))
	b.Visit("file://"+file, width, scheme)
}

// Paper lays the shown page out as for print on a content box of a width in
// CSS pixels: print media, light scheme. What is wider there makes the browser
// shrink the whole document when it prints.
func (b *Browser) Paper(width int) {
	b.t.Helper()
	_, err := chromedp.Call(b.ctx, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{
		Width: int64(width), Height: 900, DeviceScaleFactor: 1})
	require.NoError(b.t, err)
	_, err = chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
	require.NoError(b.t, err)
}

// Visit loads an address.
func (b *Browser) Visit(url string, width int, scheme string) {
	b.t.Helper()
	b.mu.Lock()
	b.console, b.requests = nil, nil
	b.mu.Unlock()
	_, err := chromedp.Call(b.ctx, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{
		Width: int64(width), Height: 900, DeviceScaleFactor: 1, Mobile: width < 600})
	require.NoError(b.t, err)
	_, err = chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
	require.NoError(b.t, err)
	require.NoError(b.t, chromedp.Do(b.ctx, chromedp.Navigate(url)))
}

// Eval runs an expression in the page and returns its value; Void ignores it.
func Eval[T any](b *Browser, expression string) T {
	b.t.Helper()
	v, err := Try[T](b, expression)
	require.NoError(b.t, err)
	return v
}

// Try is Eval where the page may just be on its way to another address, which
// is an error.
func Try[T any](b *Browser, expression string) (T, error) {
	return chromedp.Run(b.ctx, chromedp.Evaluate[T](expression))
}

// Void is no value.
type Void = chromedp.Void

// Screenshot is a PNG of the whole page.
func (b *Browser) Screenshot() []byte {
	b.t.Helper()
	yes := true
	r, err := chromedp.Call(b.ctx, cdppage.CaptureScreenshot, cdppage.CaptureScreenshotParams{CaptureBeyondViewport: &yes})
	require.NoError(b.t, err)
	return r.Data
}

// Stretch is a PNG of the page from y down to y + height, in CSS pixels, at
// the width it was shown with, and as much smaller as scale says.
func (b *Browser) Stretch(y, height, scale float64) []byte {
	b.t.Helper()
	yes := true
	width := Eval[float64](b, "document.documentElement.clientWidth")
	r, err := chromedp.Call(b.ctx, cdppage.CaptureScreenshot, cdppage.CaptureScreenshotParams{CaptureBeyondViewport: &yes,
		Clip: &cdppage.Viewport{Y: y, Width: width, Height: height, Scale: scale}})
	require.NoError(b.t, err)
	return r.Data
}

// PDF prints the page; A4 if a4, else Letter.
func (b *Browser) PDF(a4 bool) []byte {
	b.t.Helper()
	w, h := 8.5, 11.0
	if a4 {
		w, h = 8.27, 11.69
	}
	r, err := chromedp.Call(b.ctx, cdppage.PrintToPDF, cdppage.PrintToPDFParams{PaperWidth: w, PaperHeight: h})
	require.NoError(b.t, err)
	return r.Data
}

// Console lists what the page wrote to the console since Show.
func (b *Browser) Console() []string { b.mu.Lock(); defer b.mu.Unlock(); return b.console }

// Requests lists every address that was asked for since Show, the page's own
// included; data: addresses are not asked for.
func (b *Browser) Requests() []string {
	b.mu.Lock()
	defer b.mu.Unlock()
	var out []string
	for _, r := range b.requests {
		if len(r) < 5 || r[:5] != "data:" {
			out = append(out, r)
		}
	}
	return out
}

// Overflow lists the elements that make the page wider than its window.
func (b *Browser) Overflow() []string {
	b.t.Helper()
	return Eval[[]string](b, `(() => {
	const w = document.documentElement.clientWidth, out = [];
	if (document.documentElement.scrollWidth > w) out.push("page: " + document.documentElement.scrollWidth + " > " + w);
	for (const e of document.querySelectorAll("body *")) {
		const r = e.getBoundingClientRect();
		if (r.right <= w + 1 || r.width === 0) continue;
		let p = e.parentElement, held = false;
		for (; p; p = p.parentElement) if (/auto|scroll|hidden/.test(getComputedStyle(p).overflowX)) held = true;
		if (!held && getComputedStyle(e).position !== "absolute") out.push(e.tagName + "." + (e.getAttribute("class") || "") + " " + Math.round(r.right));
	}
	return out })()`)
}

// Contrast lists the texts whose contrast with what lies behind them is below
// WCAG 2.2 level AA (4.5, or 3 for large text).
func (b *Browser) Contrast() []string {
	b.t.Helper()
	return Eval[[]string](b, `(() => {
	const parse = c => (c.match(/[\d.]+/g) || []).map(Number);
	const lum = c => { const f = c.slice(0, 3).map(v => (v /= 255) <= .04045 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4); return .2126 * f[0] + .7152 * f[1] + .0722 * f[2] };
	const behind = e => { for (; e; e = e.parentElement) { const c = parse(getComputedStyle(e).backgroundColor); if (c.length === 3 || c[3] > .99) return c } return [255, 255, 255] };
	const out = new Set();
	const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
	for (let n; n = walk.nextNode();) {
		const e = n.parentElement;
		if (!n.data.trim() || !e.getClientRects().length || /^(TITLE|DESC|ANNOTATION|STYLE)$/i.test(e.tagName)) continue;
		const s = getComputedStyle(e), fg = parse(e.closest("svg") ? s.fill : s.color), bg = behind(e);
		if (fg.length < 3) continue;
		const a = lum(fg), b = lum(bg), ratio = (Math.max(a, b) + .05) / (Math.min(a, b) + .05);
		const size = parseFloat(s.fontSize), large = size >= 24 || size >= 18.66 && s.fontWeight >= 700;
		if (ratio < (large ? 3 : 4.5)) out.add(e.tagName + " " + ratio.toFixed(2) + " " + n.data.trim().slice(0, 40));
	}
	return [...out] })()`)
}

// Save writes a picture or a document for a person to look at, if the
// environment names a directory in BROWSER_OUT.
func (b *Browser) Save(name string, data []byte) {
	b.t.Helper()
	if dir := os.Getenv("BROWSER_OUT"); dir != "" {
		require.NoError(b.t, os.WriteFile(filepath.Join(dir, name), data, 0o644), fmt.Sprintf("saving %s", name))
	}
}
