package serve

import (
	"context"
	"crypto/subtle"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log"
	"mime"
	"net"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"time"

	"golang.org/x/net/netutil"

	"bayproof/model/joblog"
)

// What a server has for whoever knocks: two phones need a handful of connections, and a phone at
// the edge of the truck's reach may take a minute for the page.
const (
	maxConnections = 64
	maxHeader      = 8 << 10 // bytes
	headerTime     = 5 * time.Second
	bodyTime       = 20 * time.Second
	pageTime       = 2 * time.Minute
	idleTime       = 30 * time.Second
	goodbye        = 5 * time.Second // for answers that are on their way when it ends
)

// Server serves one job.
type Server struct {
	Folder *joblog.Folder
	Flags  map[string]string                 // settings given on the command line
	Page   func(path string) ([]byte, error) // the page as the job stands now; its rows go to the path
	Told   func(line string)                 // a line for the terminal; nil for none
	Token  string

	host string     // as a browser names it
	mu   sync.Mutex // one page or entry at a time: little memory, and each entry sees the one before
	n    Counts
}

// Counts is what a server did.
type Counts struct {
	Rows    int // taken, each once
	Refused int // entries that the log could not take
	Turned  int // requests that were turned away
}

// URL is the address of the page, in capitals: a square code holds those in less room. A browser
// asks for the host in small letters, and the path as it stands.
func (s *Server) URL(l net.Addr) string {
	return "HTTP://" + strings.ToUpper(hostOf(l)) + "/" + s.Token
}

// hostOf is an address as the Host of a request names it: without the port that is http's own.
func hostOf(l net.Addr) string { return strings.TrimSuffix(l.String(), ":80") }

// Serve answers until the context ends, lets answers that are on their way arrive, and says what
// was done. It returns once nothing is written any more.
func (s *Server) Serve(ctx context.Context, l net.Listener) (Counts, error) {
	s.host = hostOf(l.Addr())
	server := &http.Server{
		Handler: s, MaxHeaderBytes: maxHeader, ReadHeaderTimeout: headerTime, ReadTimeout: bodyTime, WriteTimeout: pageTime, IdleTimeout: idleTime,
		ErrorLog: log.New(io.Discard, "", 0), // what strangers send is nothing for the terminal
	}
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(netutil.LimitListener(l, maxConnections)) }()
	var err error
	select {
	case err = <-failed:
	case <-ctx.Done():
		last, done := context.WithTimeout(context.Background(), goodbye)
		defer done()
		if server.Shutdown(last) != nil {
			_ = server.Close() // whoever still loads the page loads it again
		}
	}
	s.mu.Lock() // an entry that is being written is written whole
	defer s.mu.Unlock()
	s.Folder = nil
	return s.n, err
}

// ServeHTTP lets in who names this host, comes from this page and knows the token, in this order,
// and answers nothing else.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("Cache-Control", "no-store")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	origin, own := r.Header.Values("Origin"), "http://"+s.host
	page, rows := s.path(r.RequestURI)
	defer func() { // the rows stay on the phone, and others can go on
		if x := recover(); x != nil {
			s.mu.Lock()
			defer s.mu.Unlock()
			s.tell(fmt.Sprintf("this is a fault of bayproof and not of your files: %v", x))
			http.Error(w, http.StatusText(http.StatusInternalServerError), http.StatusInternalServerError)
		}
	}()
	switch {
	case r.Host != s.host:
		s.turn(w, http.StatusMisdirectedRequest)
	case len(origin) > 1 || len(origin) == 1 && origin[0] != own:
		s.turn(w, http.StatusForbidden)
	case !page && !rows:
		s.turn(w, http.StatusNotFound)
	case page && r.Method == http.MethodGet:
		s.handOut(w)
	case rows && r.Method == http.MethodPost && len(origin) == 0:
		s.turn(w, http.StatusForbidden)
	case rows && r.Method == http.MethodPost:
		s.receive(w, r)
	default:
		h.Set("Allow", map[bool]string{true: "GET", false: "POST"}[page])
		s.turn(w, http.StatusMethodNotAllowed)
	}
}

// path tells which of the two paths is asked for, in a time that does not say how much of the token
// was right.
func (s *Server) path(asked string) (page, rows bool) {
	is := func(path string) bool { return subtle.ConstantTimeCompare([]byte(asked), []byte(path)) == 1 }
	return is("/" + s.Token), is("/" + s.Token + "/rows")
}

// turn turns a request away.
func (s *Server) turn(w http.ResponseWriter, status int) {
	s.mu.Lock()
	s.n.Turned++
	s.mu.Unlock()
	http.Error(w, http.StatusText(status), status)
}

// handOut sends the page with the log as it is now.
func (s *Server) handOut(w http.ResponseWriter) {
	page, err := s.page()
	if err != nil {
		http.Error(w, http.StatusText(http.StatusServiceUnavailable), http.StatusServiceUnavailable)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Content-Length", strconv.Itoa(len(page)))
	_, _ = w.Write(page) // whoever went away loads it again
}

// page is the page as the job stands now.
func (s *Server) page() (page []byte, err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.Folder == nil {
		return nil, errors.New("at its end")
	}
	if page, err = s.Page("/" + s.Token + "/rows"); err != nil {
		s.tell("the page cannot be written: " + err.Error())
	}
	return page, err
}

// receive takes the rows of an entry and says what became of them.
func (s *Server) receive(w http.ResponseWriter, r *http.Request) {
	if kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || kind != "application/json" {
		s.turn(w, http.StatusUnsupportedMediaType)
		return
	}
	body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, maxBody))
	var tooMuch *http.MaxBytesError
	if errors.As(err, &tooMuch) {
		s.turn(w, http.StatusRequestEntityTooLarge)
		return
	}
	var e *entry
	if err == nil {
		e, err = parse(body)
	}
	if err != nil {
		s.turn(w, http.StatusBadRequest)
		return
	}
	answer, err := s.received(e)
	if err != nil {
		http.Error(w, http.StatusText(http.StatusServiceUnavailable), http.StatusServiceUnavailable)
		return
	}
	b, err := json.Marshal(answer)
	if err != nil {
		panic("an answer: " + err.Error()) // texts alone: cannot fail
	}
	w.Header().Set("Content-Type", "application/json")
	_, _ = w.Write(b) // a phone that got no answer sends the rows again
}

// received takes an entry, one at a time, and tells the terminal.
func (s *Server) received(e *entry) (Answer, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.Folder == nil {
		return Answer{}, errBusy
	}
	answer, n, err := s.take(e)
	s.n.Rows += n
	row := e.Rows[0].Row
	where := strings.Join(strings.Fields(row["section"]+" "+row["bay"]+" "+row["entry"]), " ")
	switch {
	case err != nil:
		s.tell(where + ": not written: " + err.Error())
	case answer.Refused != "":
		s.n.Refused++
		s.tell(where + ": refused: " + answer.Refused)
	case n > 0:
		s.tell(where)
	}
	return answer, err
}

// tell tells the terminal.
func (s *Server) tell(line string) {
	if s.Told != nil {
		s.Told(line)
	}
}

// String says in a sentence what was done.
func (n Counts) String() string {
	text := fmt.Sprintf("Rows taken: %d.", n.Rows)
	if n.Refused > 0 {
		text += fmt.Sprintf(" Entries refused: %d; they wait on the phone.", n.Refused)
	}
	if n.Turned > 0 {
		text += fmt.Sprintf(" Requests turned away: %d.", n.Turned)
	}
	return text
}
