package page

import (
	"context"
	"embed"
	"net/http"
	"sync"

	"golang.org/x/sync/semaphore"

	"setshade/internal/workshop"
)

//go:embed static
var static embed.FS

// Server serves the bench page of one workshop. Its methods may be used from
// several goroutines.
type Server struct {
	workshop *workshop.Workshop
	gate     *Gate
	handler  http.Handler

	// life ends when the server stops; jobs that are under way stop then.
	life    context.Context
	working sync.WaitGroup
	lessons jobs[workshop.Lesson]
	rereads jobs[workshop.Reread]
	copies  jobs[storeCopy]
	folders folders
	// sightings are what drafts showed when they were looked at last.
	sightings recent[*sighting]
	// sent are the forms sent last, told what was said of some.
	sent recent[*sending]
	told recent[view]
	// readers bounds how many photographs are decoded at a time, since each
	// takes memory.
	readers chan struct{}
	// bodies bounds the bytes of forms with files that are held at a time.
	bodies *semaphore.Weighted
}

// New makes a server that lives as long as ctx. With a gate the page is for the
// local network, and each browser needs a code; without one it answers to this
// machine alone. It panics without a workshop.
func New(ctx context.Context, w *workshop.Workshop, gate *Gate) *Server {
	if w == nil {
		panic("page: New needs a workshop")
	}
	s := &Server{workshop: w, gate: gate, life: ctx, readers: make(chan struct{}, 2), bodies: semaphore.NewWeighted(maxHeldBytes)}
	s.sightings.most, s.sent.most, s.told.most = mostSightings, mostSent, mostTold
	s.lessons.path, s.lessons.gone = "/learn/", "that lesson is not kept any more; what was learned is on the shelf"
	s.rereads.path, s.rereads.gone = "/reread/", "what was read again is not kept any more; show again what would change"
	s.copies.path, s.copies.gone = "/store/", "that copy is not kept any more; make it again under Backup"
	s.handler = s.guard(s.inTurn(s.once(s.routes())))
	return s
}

// reader waits until a photograph may be decoded; done lets the next one be.
func (s *Server) reader(ctx context.Context) (done func(), err error) {
	select {
	case s.readers <- struct{}{}:
		return func() { <-s.readers }, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// ServeHTTP implements http.Handler.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.handler.ServeHTTP(w, r) }

// Wait returns when no job is under way any more, and leaves no copy behind.
func (s *Server) Wait() {
	s.working.Wait()
	s.folders.clear()
}

func (s *Server) routes() http.Handler {
	mux := http.NewServeMux()
	mux.Handle("GET /static/", http.FileServerFS(static))
	mux.Handle("GET /{$}", view(s.home))
	mux.Handle("GET /more", view(s.more))
	mux.Handle("GET /enter", view(s.showEnter))
	mux.Handle("POST /enter", http.HandlerFunc(s.enter))

	mux.Handle("GET /shelf", view(s.shelf))
	mux.Handle("POST /shelf/wax", view(s.addWax))
	mux.Handle("POST /shelf/dye", view(s.addDye))
	mux.Handle("POST /shelf/mould", view(s.addMould))

	mux.Handle("GET /card", view(s.card))
	mux.Handle("GET /card/test-card.pdf", http.HandlerFunc(s.testCard))
	mux.Handle("POST /card/anchor", view(s.chooseAnchor))
	mux.Handle("POST /card/anchor/forget", view(s.forgetAnchor))
	mux.Handle("POST /card/reference", view(s.keepReference))
	mux.Handle("POST /card/reference/forget", view(s.forgetReference))

	mux.Handle("GET /told/{told}", view(s.showTold))
	mux.Handle("POST /card/{sha256}/change", view(s.changeCard))
	mux.Handle("POST /card/{sha256}/remove", view(s.removeCard))
	mux.Handle("POST /undo", view(s.undo))
	mux.Handle("GET /photograph/{sha256}", http.HandlerFunc(s.photograph))

	mux.Handle("GET /record", view(s.record))
	mux.Handle("POST /record", view(s.look))
	mux.Handle("GET /record/{draft}", view(s.showDraft))
	mux.Handle("POST /record/{draft}", view(s.saveDraft))
	mux.Handle("GET /record/{draft}/overlay.jpg", http.HandlerFunc(s.overlay))

	mux.Handle("GET /learn", view(s.learn))
	mux.Handle("POST /learn", view(s.startLearning))
	mux.Handle("GET /learn/{job}", view(s.lesson))
	mux.Handle("GET /learn/{job}/progress", s.lessons.progress(s))
	mux.Handle("POST /learn/{job}/stop", view(s.lessons.stop))

	mux.Handle("GET /reread", view(s.reread))
	mux.Handle("POST /reread", view(s.startReading))
	mux.Handle("POST /reread/bring-back", view(s.bringBack))
	mux.Handle("GET /reread/{job}", view(s.readAgain))
	mux.Handle("POST /reread/{job}/keep", view(s.keepReading))
	mux.Handle("GET /reread/{job}/progress", s.rereads.progress(s))
	mux.Handle("POST /reread/{job}/stop", view(s.rereads.stop))

	mux.Handle("GET /predict", view(s.predict))
	mux.Handle("GET /match", view(s.match))
	mux.Handle("POST /match", view(s.matchSpot))
	mux.Handle("GET /rescue", view(s.rescue))
	mux.Handle("POST /rescue/continue", view(s.continueRescue))
	mux.Handle("POST /rescue/{number}/back", view(s.backRescue))
	mux.Handle("GET /next", view(s.next))

	mux.Handle("GET /stock", view(s.stock))
	mux.Handle("POST /stock", view(s.addStock))
	mux.Handle("POST /stock/{number}/use", view(s.useStock))

	mux.Handle("GET /store", view(s.store))
	mux.Handle("POST /store/backup", view(s.startBackUp))
	mux.Handle("POST /store/export", view(s.startExport))
	mux.Handle("GET /store/{job}", view(s.copied))
	mux.Handle("GET /store/{job}/copy.zip", http.HandlerFunc(s.sendCopy))
	mux.Handle("GET /store/{job}/progress", s.copies.progress(s))
	mux.Handle("POST /store/{job}/stop", view(s.copies.stop))

	mux.Handle("GET /report/dye/{file}", http.HandlerFunc(s.dyeReport))
	mux.Handle("GET /report/shelf/{file}", http.HandlerFunc(s.shelfReport))
	mux.Handle("GET /report/batch/{file}", http.HandlerFunc(s.batchReport))

	mux.Handle("GET /batch", view(s.batch))
	mux.Handle("GET /batch/sheet.html", http.HandlerFunc(s.sheetHTML))
	mux.Handle("GET /batch/sheet.pdf", http.HandlerFunc(s.sheetPDF))
	mux.Handle("GET /log", view(s.log))
	mux.Handle("POST /log", view(s.pour))
	mux.Handle("GET /", view(s.nowhere))
	return mux
}

// nowhere answers for every other address.
func (s *Server) nowhere(*http.Request) (answer, error) {
	return answer{page: "nowhere", title: "Not here", status: http.StatusNotFound}, nil
}
