package page

import (
	"archive/zip"
	"compress/flate"
	"context"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"setshade/internal/durable"
	"setshade/internal/workshop"
)

// storeCopy is a copy of all that is kept, as one file to take away.
type storeCopy struct {
	Name  string
	Bytes int64
	// Lost are photographs that it is without.
	Lost []workshop.Lost
	path string
}

// fill puts a copy into a folder, and says what is wrong with it.
type fill func(ctx context.Context, folder string) (workshop.Checkup, error)

// What a copy is.
const (
	backUp   = "backup"
	exported = "export"
)

func (s *Server) store(r *http.Request) (answer, error) {
	photographs, err := s.workshop.Store.Photos(r.Context())
	return answer{page: "store", title: "Backup and export", data: len(photographs)}, err
}

func (s *Server) startBackUp(*http.Request) (answer, error) {
	return s.startCopy(backUp, func(ctx context.Context, folder string) (workshop.Checkup, error) {
		_, found, err := s.workshop.BackUp(ctx, folder)
		return found, err
	})
}

func (s *Server) startExport(*http.Request) (answer, error) {
	return s.startCopy(exported, func(ctx context.Context, folder string) (workshop.Checkup, error) {
		_, found, err := s.workshop.Export(ctx, filepath.Join(folder, s.copyName(exported)))
		return found, err
	})
}

// startCopy begins a copy that fills a folder, unless one of its kind is under way.
func (s *Server) startCopy(kind string, do fill) (answer, error) {
	j := s.copies.begin(s, kind, func(ctx context.Context, _ func(done, of int)) (storeCopy, error) {
		folder, err := s.folders.fresh(kind)
		if err != nil {
			return storeCopy{}, fmt.Errorf("there is no place to make the copy in; make room on this machine (%w)", err)
		}
		c, err := s.makeCopy(ctx, folder, kind, do)
		if err != nil {
			os.RemoveAll(folder)
		}
		return c, err
	})
	return answer{location: s.copies.path + j.id}, nil
}

// makeCopy fills a folder and makes one file of it.
func (s *Server) makeCopy(ctx context.Context, folder, kind string, do fill) (storeCopy, error) {
	c := storeCopy{Name: s.copyName(kind) + ".zip", path: filepath.Join(folder, "copy.zip")}
	filled := filepath.Join(folder, "filled")
	if err := os.Mkdir(filled, 0o700); err != nil {
		return c, err
	}
	found, err := do(ctx, filled)
	if err != nil {
		return c, err
	}
	if damage := found.Damage(); len(damage) > 0 {
		return c, fmt.Errorf("the store is damaged, and so would be the copy: %s; put back an older copy, or copy it as it is: setshade store %s", damage[0], kind)
	}
	c.Lost = found.Lost
	if c.Bytes, err = zipFolder(ctx, filled, c.path); err != nil {
		return c, fmt.Errorf("the copy could not be made into one file: %w", err)
	}
	return c, os.RemoveAll(filled)
}

// copyName names a copy after the store, its kind and the time.
func (s *Server) copyName(kind string) string {
	name := filepath.Base(s.workshop.Store.Path())
	return strings.TrimSuffix(name, filepath.Ext(name)) + "-" + kind + s.workshop.Now().Format("-2006-01-02-150405")
}

// zipFolder puts all that is in a folder into one file, and returns how long that is.
func zipFolder(ctx context.Context, folder, path string) (bytes int64, err error) {
	file, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return 0, err
	}
	defer func() { err = errors.Join(err, file.Close()) }()
	z := zip.NewWriter(wanted{ctx, file})
	// Photographs are packed already: there is nothing to gain by trying hard.
	z.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) { return flate.NewWriter(w, flate.BestSpeed) })
	if err := errors.Join(z.AddFS(os.DirFS(folder)), z.Close()); err != nil {
		return 0, err
	}
	return file.Seek(0, io.SeekCurrent)
}

// wanted writes as long as its ctx lasts.
type wanted struct {
	ctx context.Context
	io.Writer
}

// Write implements io.Writer.
func (w wanted) Write(p []byte) (int, error) {
	if err := w.ctx.Err(); err != nil {
		return 0, err
	}
	return w.Writer.Write(p)
}

// copyPage is a copy under way or done.
type copyPage struct {
	ID, Kind string
	state[storeCopy]
	UnderWay underWay
}

func (s *Server) copied(r *http.Request) (answer, error) {
	j := s.copies.find(r)
	if j == nil {
		return s.copies.notFound()
	}
	now, _ := j.now()
	a := answer{page: "copy", title: "Making the " + j.of}
	if now.Ended && now.Err == nil {
		a.title = "The " + j.of + " is ready"
	}
	a.data = copyPage{j.id, j.of, now, underWayOf(&s.copies, j, "Copying", "Copying everything.")}
	return a, now.Err
}

// howLongToTake is how long taking a copy may last over a poor network.
const howLongToTake = time.Hour

// sendCopy sends a copy that is ready, with its length, so that a browser knows one
// that was cut off from a whole one.
func (s *Server) sendCopy(w http.ResponseWriter, r *http.Request) {
	gone := view(func(*http.Request) (answer, error) { return s.copies.notFound() })
	j := s.copies.find(r)
	if j == nil {
		gone.ServeHTTP(w, r)
		return
	}
	now, _ := j.now()
	file, err := os.Open(now.Result.path)
	if !now.Ended || now.Err != nil || err != nil {
		gone.ServeHTTP(w, r)
		return
	}
	defer file.Close()
	out := http.NewResponseController(w)
	out.SetReadDeadline(time.Now().Add(howLongToTake))
	out.SetWriteDeadline(time.Now().Add(howLongToTake))
	w.Header().Set("Content-Type", "application/zip")
	w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": now.Result.Name}))
	http.ServeContent(w, r, "", time.Time{}, file)
}

// folders are temporary ones for this user's eyes only, one of each kind.
type folders struct {
	lock sync.Mutex
	of   map[string]string
}

// fresh makes a new folder in place of the last of its kind.
func (f *folders) fresh(kind string) (string, error) {
	f.lock.Lock()
	defer f.lock.Unlock()
	if old := f.of[kind]; old != "" {
		os.RemoveAll(old)
	}
	folder, err := durable.TemporaryFolder(kind)
	if err != nil {
		return "", err
	}
	if f.of == nil {
		f.of = map[string]string{}
	}
	f.of[kind] = folder
	return folder, nil
}

// clear removes all of them.
func (f *folders) clear() {
	f.lock.Lock()
	defer f.lock.Unlock()
	for _, folder := range f.of {
		os.RemoveAll(folder)
	}
	clear(f.of)
}
