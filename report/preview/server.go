package preview

import (
	"bytes"
	"context"
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"html/template"
	"net"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

//go:embed static
var static embed.FS

var pages = template.Must(template.New("").Funcs(template.FuncMap{"address": url.PathEscape}).ParseFS(static, "static/*.html"))

// Policies of the pages. The outer page runs the one script of this package;
// the report none at all.
const (
	outerPolicy = "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; frame-src 'self'; img-src data:; " +
		"base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
	reportPolicy = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; " +
		"frame-ancestors 'self'; sandbox allow-same-origin"
)

// heartbeat keeps a quiet connection open and finds one whose reader left.
const heartbeat = 15 * time.Second

// Server shows one spec, or all of a folder.
type Server struct {
	path    string
	folder  bool
	render  Render
	tell    func(path string, r Result)
	board   *board
	hosts   map[string]bool
	ending  context.Context
	handler http.Handler
}

// New makes a server for a spec file or a folder of specs. Tell, unless nil, is
// called after each rendering. The error says that the path is neither.
func New(path string, render Render, tell func(path string, r Result)) (*Server, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	s := &Server{path: path, folder: info.IsDir(), render: render, tell: tell, board: newBoard(), hosts: map[string]bool{}}
	switch {
	case s.folder:
		s.board.set(specsIn(path))
	case info.Mode().IsRegular():
		s.board.set([]string{path})
	default:
		return nil, fmt.Errorf("%s: is neither a file nor a folder", path)
	}
	mux := http.NewServeMux()
	mux.HandleFunc("/{$}", s.home)
	mux.HandleFunc("/events", s.allEvents)
	mux.HandleFunc("/spec/{name}", s.frame)
	mux.HandleFunc("/report/{name}", s.report)
	mux.HandleFunc("/events/{name}", s.events)
	mux.HandleFunc("/preview.js", asset("preview.js", "text/javascript; charset=utf-8"))
	mux.HandleFunc("/preview.css", asset("preview.css", "text/css; charset=utf-8"))
	s.handler = mux
	return s, nil
}

// Listen opens a loopback port, 0 for any that is free.
func Listen(port int) (net.Listener, error) {
	return net.Listen("tcp4", net.JoinHostPort("127.0.0.1", strconv.Itoa(port)))
}

// Serve answers on the listener until the context ends, then closes every
// connection and returns nil.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	at, ok := l.Addr().(*net.TCPAddr)
	if !ok || !at.IP.IsLoopback() {
		l.Close()
		return fmt.Errorf("%s is not a loopback address", l.Addr())
	}
	for _, name := range []string{"127.0.0.1", "localhost"} {
		s.hosts[net.JoinHostPort(name, strconv.Itoa(at.Port))] = true
		if at.Port == 80 {
			s.hosts[name] = true
		}
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	s.ending = ctx
	watching := make(chan struct{})
	go func() { defer close(watching); s.watch(ctx) }()
	server := &http.Server{
		Handler: http.HandlerFunc(s.serve), ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 10 * time.Second,
		WriteTimeout: 20 * time.Second, IdleTimeout: time.Minute, MaxHeaderBytes: 1 << 14,
	}
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(l) }()
	var err error
	select {
	case err = <-failed:
	case <-ctx.Done():
	}
	stop()
	last, done := context.WithTimeout(context.Background(), time.Second)
	defer done()
	if server.Shutdown(last) != nil {
		server.Close()
	}
	select {
	case <-watching:
	case <-time.After(time.Second): // a report that is being made, or a pipe that nobody writes into, holds nobody up
	}
	if errors.Is(err, http.ErrServerClosed) {
		err = nil
	}
	return err
}

// serve lets through what may come in.
func (s *Server) serve(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cache-Control", "no-store")
	h.Set("Content-Security-Policy", outerPolicy)
	if !s.hosts[strings.ToLower(r.Host)] {
		http.Error(w, "this server answers to 127.0.0.1 and localhost only", http.StatusMisdirectedRequest)
		return
	}
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		h.Set("Allow", "GET, HEAD")
		http.Error(w, "only GET and HEAD", http.StatusMethodNotAllowed)
		return
	}
	s.handler.ServeHTTP(w, r)
}

// home is the page of the one spec, or the index of a folder.
func (s *Server) home(w http.ResponseWriter, _ *http.Request) {
	list, version, _ := s.board.all()
	if !s.folder && len(list) == 1 {
		s.show(w, "frame.html", list[0])
		return
	}
	s.show(w, "index.html", map[string]any{"Folder": filepath.Base(absolute(s.path)), "Specs": list, "Version": version})
}

func absolute(path string) string {
	if a, err := filepath.Abs(path); err == nil {
		return a
	}
	return path
}

func (s *Server) frame(w http.ResponseWriter, r *http.Request) {
	p, _, _, ok := s.board.look(r.PathValue("name"))
	if !ok {
		http.NotFound(w, r)
		return
	}
	s.show(w, "frame.html", p)
}

func (s *Server) show(w http.ResponseWriter, name string, data any) {
	var out bytes.Buffer
	if err := pages.ExecuteTemplate(&out, name, data); err != nil {
		http.Error(w, "this page cannot be made: "+err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, _ = out.WriteTo(w)
}

// report is the last good report, or a page that says that there is none.
func (s *Server) report(w http.ResponseWriter, r *http.Request) {
	p, html, _, ok := s.board.look(r.PathValue("name"))
	if !ok {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Security-Policy", reportPolicy)
	if html == nil {
		s.show(w, "none.html", p)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Content-Length", strconv.Itoa(len(html)))
	_, _ = w.Write(html)
}

// events tells the state of a spec now and after each change.
func (s *Server) events(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("name")
	if _, _, _, ok := s.board.look(name); !ok {
		http.NotFound(w, r)
		return
	}
	s.stream(w, r, func() (any, <-chan struct{}, bool) {
		p, _, changed, ok := s.board.look(name)
		return p, changed, ok
	})
}

// allEvents tells the version of the whole folder.
func (s *Server) allEvents(w http.ResponseWriter, r *http.Request) {
	s.stream(w, r, func() (any, <-chan struct{}, bool) {
		_, version, changed := s.board.all()
		return version, changed, true
	})
}

// stream sends a state as server-sent events whenever it has changed, until
// the reader leaves, the state is gone or the server ends.
func (s *Server) stream(w http.ResponseWriter, r *http.Request, state func() (any, <-chan struct{}, bool)) {
	w.Header().Set("Content-Type", "text/event-stream; charset=utf-8")
	if r.Method == http.MethodHead {
		return
	}
	out := http.NewResponseController(w)
	_ = out.SetReadDeadline(time.Time{})
	send := func(text string) bool {
		_ = out.SetWriteDeadline(time.Now().Add(5 * time.Second))
		_, err := fmt.Fprint(w, text)
		return err == nil && out.Flush() == nil
	}
	beat := time.NewTicker(heartbeat)
	defer beat.Stop()
	if !send("retry: 500\n\n") {
		return
	}
	last := ""
	for {
		v, changed, ok := state()
		if !ok {
			return
		}
		b, err := json.Marshal(v)
		if err != nil {
			return
		}
		if now := string(b); now != last {
			last = now
			if !send("data: " + now + "\n\n") {
				return
			}
		}
		select {
		case <-changed:
		case <-beat.C:
			if !send(": still here\n\n") {
				return
			}
		case <-r.Context().Done():
			return
		case <-s.ending.Done():
			return
		}
	}
}

func asset(name, kind string) http.HandlerFunc {
	return func(w http.ResponseWriter, _ *http.Request) {
		b, err := static.ReadFile("static/" + name)
		if err != nil {
			http.Error(w, "not built in", http.StatusInternalServerError)
			return
		}
		w.Header().Set("Content-Type", kind)
		_, _ = w.Write(b)
	}
}
