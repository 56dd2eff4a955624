package page

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"strings"
	"time"
	"unicode"

	"setshade/internal/picture"
	"setshade/internal/workshop"
)

// maxUploadBytes is the largest photograph the reader takes, and room for the
// fields beside it.
const maxUploadBytes = picture.MaxBytes + maxFormBytes

// maxHeldBytes bounds what is held of forms with files, all together: two photographs of
// the largest size, or many of a phone's.
const maxHeldBytes = 2 * maxUploadBytes

// uploadTime is how long a form with a file may take once it is its turn.
const uploadTime = 2 * time.Minute

// inTurn lets forms with files wait, before anything of them is read, until there is room
// for all that they may bring.
func (s *Server) inTurn(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if isMultipart(r) {
			room := int64(maxUploadBytes)
			if r.ContentLength >= 0 {
				room = min(room, r.ContentLength)
			}
			if s.bodies.Acquire(r.Context(), room) != nil {
				return
			}
			defer s.bodies.Release(room)
			out := http.NewResponseController(w)
			out.SetReadDeadline(time.Now().Add(uploadTime))
			out.SetWriteDeadline(time.Now().Add(2 * uploadTime))
		}
		next.ServeHTTP(w, r)
	})
}

// upload is a form with one photograph or one file of colours, held in memory only.
type upload struct {
	form
	name  string
	photo []byte
	// bytes is how long the whole form says it is, 0 when it does not.
	bytes int64
}

var errNoPhoto = errors.New("there is no photograph; take one, or choose a file")

// readUpload reads a multipart form whose photograph is in the field "photo".
func readUpload(r *http.Request) (upload, error) {
	u, err := readParts(r, maxUploadBytes)
	if err != nil {
		return u, err
	}
	if len(u.photo) == 0 {
		return u, errNoPhoto
	}
	if kind := kindOf(u.photo); kind == "" {
		return u, fmt.Errorf("%s is no picture that can be read; take a JPEG, PNG, TIFF or HEIC file", u.name)
	}
	return u, nil
}

// readParts reads a multipart form of at most so many bytes.
func readParts(r *http.Request, most int64) (upload, error) {
	u := upload{form: form{Values: url.Values{}}, bytes: min(max(r.ContentLength, 0), most)}
	r.Body = http.MaxBytesReader(nil, r.Body, most)
	parts, err := r.MultipartReader()
	if err != nil {
		return u, fmt.Errorf("the form did not arrive as a form with a file; send it from the page (%w)", err)
	}
	for {
		part, err := parts.NextPart()
		if err == io.EOF {
			return u, nil
		}
		if err != nil {
			return u, notWhole(err)
		}
		if err := u.take(part); err != nil {
			return u, err
		}
	}
}

func notWhole(err error) error {
	return fmt.Errorf("the form did not arrive whole; send it again (%w)", err)
}

func (u *upload) take(part *multipart.Part) error {
	most := map[string]int64{"photo": maxUploadBytes, "colours-file": workshop.MaxStripBytes}[part.FormName()]
	if most == 0 {
		most = maxFormBytes
	}
	var buffer bytes.Buffer
	if part.FormName() == "photo" {
		buffer.Grow(int(u.bytes)) // which else grows by copying
	}
	// One byte more shows what is too long.
	_, err := buffer.ReadFrom(io.LimitReader(part, most+1))
	data := buffer.Bytes()
	switch {
	case err != nil:
		return notWhole(err)
	case part.FormName() == "photo":
		u.name, u.photo = plainName(part.FileName(), "photograph"), data
	case part.FormName() == "colours-file":
		u.takeColours(plainName(part.FileName(), "colours.csv"), string(data))
	case int64(len(data)) > most:
		return fmt.Errorf("the field %.40q is too long", part.FormName())
	default:
		u.Add(part.FormName(), string(data))
	}
	return nil
}

// plainName is what to call a file on screen and in the store: the last part of its
// name, what cannot be printed left out; usual where nothing is left. It never names a
// file here.
func plainName(name, usual string) string {
	if cut := strings.LastIndexAny(name, `/\`); cut >= 0 {
		name = name[cut+1:]
	}
	name = strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) {
			return -1
		}
		return r
	}, strings.ToValidUTF8(name, ""))
	if runes := []rune(name); len(runes) > 80 {
		name = string(runes[:80])
	}
	if name = strings.Trim(name, ". "); name == "" {
		return usual
	}
	return name
}

// kindOf names the kind of picture by its first bytes, "" for anything else. It
// only turns away what is plainly no picture; the reader checks the rest.
func kindOf(data []byte) string {
	for _, k := range []struct {
		name  string
		at    int
		bytes string
	}{
		{"JPEG", 0, "\xff\xd8\xff"}, {"PNG", 0, "\x89PNG\r\n\x1a\n"},
		{"TIFF", 0, "II*\x00"}, {"TIFF", 0, "MM\x00*"}, {"HEIC", 4, "ftyp"},
	} {
		if len(data) > k.at && bytes.HasPrefix(data[k.at:], []byte(k.bytes)) {
			return k.name
		}
	}
	return ""
}
