// Package serve hands a job's page out over the local network and takes the rows that a phone typed
// on it into the job's log, through the writer that the prompt uses, journal included.
//
// It is plain http on a private network, and no more than that needs: two paths below a token that
// only the code in the terminal tells, one for the page and one for rows. Whoever asks for another
// host (a name that was bent to this address), from another page, without the token, by another
// method, for too much or for what is no row is turned away before anything of the job is read.
//
// A row is taken once. What it is known by are all of its cells with the phone's own time, which
// the log keeps: a phone that got no answer sends it again, to another run of the server too, and
// it is there already. A row that was typed behind others than stand in the log now (pocket.Before)
// is refused by name, with what stands there: what it leaves out, a ditto, would mean another bay.
//
// Which file holds what: server.go who is let in, and the lines of the terminal; rows.go what
// becomes of rows; address.go where it listens, and the code.
//
// It imports golang.org/x/net/netutil, rsc.io/qr, cmd/pocket, report/say/lang, model, model/cell,
// model/joblog, model/joblog/journal and the standard library. Of that log is for net/http alone,
// to keep it from writing to the terminal by itself.
package serve
