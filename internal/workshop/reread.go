package workshop

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"runtime"
	"slices"
	"sync"
	"time"

	"setshade/internal/photo"
	"setshade/internal/plan"
	"setshade/internal/spectrum"
	"setshade/internal/store"
	"setshade/internal/wax"
)

// Reread is what reading the photographs of the store again has changed.
type Reread struct {
	// Photos in the order in which they were recorded.
	Photos []RereadPhoto
	// Replaced says that the new numbers are in the store.
	Replaced bool
}

// RereadPhoto is one photograph read again.
type RereadPhoto struct {
	Name, SHA256       string
	OldReader, Reader  int
	Before, Correction wax.Correction
	Quality            wax.Quality
	// Drops are those whose swatches are still in the store, in order of number.
	Drops []RereadDrop
	// Refusal is why the old numbers stay; nil when there are new ones.
	Refusal error
	Notes   []string
}

// Changed reports whether a number that is learned from has changed.
func (r Reread) Changed() bool {
	return slices.ContainsFunc(r.Photos, func(p RereadPhoto) bool {
		return slices.ContainsFunc(p.Drops, func(d RereadDrop) bool { return p.Refusal == nil && d.Changed })
	})
}

// RereadDrop is a drop read again.
type RereadDrop struct {
	// Swatch is as it was, After its new colour.
	Swatch wax.Swatch
	After  spectrum.Lab
	// Changed says that its colour, its doubt, or what the print tells of it is another,
	// be it by little.
	Changed bool
}

// DE00 is how far the colour has moved.
func (d RereadDrop) DE00() float64 { return spectrum.DE00(d.Swatch.Colour.Lab, d.After) }

// isAsBefore reports whether the same was measured of a drop.
func isAsBefore(old, fresh wax.Swatch) bool {
	return isSame(&old.Colour, &fresh.Colour) && isSame(old.OverBlack, fresh.OverBlack) && old.DiameterMM == fresh.DiameterMM &&
		(old.Bar == nil) == (fresh.Bar == nil) && (old.Bar == nil || *old.Bar == *fresh.Bar)
}

// isSame compares the upper half of the covariance, which is what the store keeps.
func isSame(a, b *spectrum.Measured) bool {
	if a == nil || b == nil {
		return a == b
	}
	for i := range a.Cov {
		if !slices.Equal(a.Cov[i][i:], b.Cov[i][i:]) {
			return false
		}
	}
	return a.Lab == b.Lab
}

// Doubt is how far the old numbers may be off in L*, all alike; 0 where nothing is known.
func (p RereadPhoto) Doubt() float64 { return wax.PhotoRef{Reader: p.OldReader}.DoubtL() }

// MostChanged returns the drops in order of change, the largest first.
func (p RereadPhoto) MostChanged() []RereadDrop {
	drops := slices.Clone(p.Drops)
	slices.SortStableFunc(drops, func(a, b RereadDrop) int { return cmp.Compare(b.DE00(), a.DE00()) })
	return drops
}

// MedianDE00 and WorstDE00 are of the changes of the drops; 0 without any.
func (p RereadPhoto) MedianDE00() float64 {
	if len(p.Drops) == 0 {
		return 0
	}
	drops := p.MostChanged()
	n := len(drops)
	return (drops[(n-1)/2].DE00() + drops[n/2].DE00()) / 2
}

// WorstDE00 is the largest change; see MedianDE00.
func (p RereadPhoto) WorstDE00() float64 {
	if len(p.Drops) == 0 {
		return 0
	}
	return p.MostChanged()[0].DE00()
}

// rereading is a photograph on its way.
type rereading struct {
	RereadPhoto
	swatches []wax.Swatch // as they were
	// kept and fresh are what goes into the store, nothing when refused.
	kept  store.Photo
	fresh []wax.Swatch
	// flaw is that of its strip as an anchor: fit for it up to 1.
	flaw float64
	why  string
	// first is the photograph of the same card and state that has the swatches, and
	// others those that were read together with this one.
	first  *rereading
	others []*rereading
	// told is what the photograph tells, without its picture.
	told photo.Reading
}

// combine measures the swatches of photographs that were read together by all of them.
// Where one of them was refused, all keep their numbers.
func (r *rereading) combine() error {
	readings := []photo.Reading{r.told}
	for _, one := range append(r.others, r) {
		if one.Refusal != nil {
			return fmt.Errorf("the photograph %s, which shows the same card: %w", one.Name, one.Refusal)
		}
		if one != r {
			readings = append(readings, one.told)
		}
	}
	fresh, notes, err := combined(r.swatches, readings)
	if err != nil {
		return err
	}
	r.fresh, r.Notes = fresh, append(r.Notes, notes...)
	for i, s := range fresh {
		r.Drops[i].After, r.Drops[i].Changed = s.Colour.Lab, !isAsBefore(r.swatches[i], s)
	}
	return nil
}

// Reread reads all photographs of the store again with the present reader, several
// at once, and puts the new numbers in place of the old, all or nothing. Numbers of swatches, doses and marks for checking stay, and so do the
// numbers of a photograph that is now refused. With dryRun it only tells.
//
// A print's anchor is read first, so that the others are brought to what the
// present reader makes of it; a print without one gets the photograph of it whose strip
// is the best, if one is fit for it.
//
// Nothing is replaced before all have been read: a cancelled ctx changes nothing.
func (w *Workshop) Reread(ctx context.Context, dryRun bool, progress func(done, of int)) (Reread, error) {
	known, err := w.strips(ctx)
	if err != nil {
		return Reread{}, err
	}
	all, err := w.recordedPhotos(ctx)
	if err != nil {
		return Reread{}, err
	}
	job := rereadJob{w: w, known: known, of: len(all), progress: progress}
	if err := job.readAll(ctx, all); err != nil {
		return Reread{}, err
	}
	for _, r := range all {
		if len(r.others) == 0 {
			continue
		}
		if err := r.combine(); err != nil {
			for _, one := range append(r.others, r) {
				one.Refusal = cmp.Or(one.Refusal, err)
			}
		}
	}
	if !dryRun {
		if err := w.replaceAll(context.WithoutCancel(ctx), all); err != nil {
			return Reread{}, err
		}
	}
	out := Reread{Replaced: !dryRun}
	for _, r := range all {
		out.Photos = append(out.Photos, r.RereadPhoto)
	}
	return out, nil
}

// BringBack puts back what the last Reread replaced, and what was learned then; a second
// time it undoes the first. It returns when that had been.
func (w *Workshop) BringBack(ctx context.Context) (time.Time, error) {
	return w.Store.BringBack(ctx, w.Now())
}

// recordedPhotos lists the photographs with their swatches.
func (w *Workshop) recordedPhotos(ctx context.Context) ([]*rereading, error) {
	photos, err := w.Store.Photos(ctx)
	if err != nil {
		return nil, err
	}
	swatches, err := w.Store.Swatches(ctx, store.Filter{})
	if err != nil {
		return nil, err
	}
	of := map[string]*rereading{}
	var all []*rereading
	for _, p := range photos {
		r := &rereading{RereadPhoto: RereadPhoto{
			Name: p.Name, SHA256: p.SHA256, OldReader: p.Reader, Reader: photo.ReaderVersion, Before: p.Correction,
		}}
		if first := of[p.With]; first != nil {
			r.first, first.others = first, append(first.others, r)
		}
		of[p.SHA256] = r
		all = append(all, r)
	}
	for _, s := range swatches {
		if r := of[s.Photo.SHA256]; r != nil { // one recorded meanwhile is new enough
			r.swatches = append(r.swatches, s)
		}
	}
	return all, nil
}

// rereadJob reads photographs again.
type rereadJob struct {
	w        *Workshop
	known    strips
	progress func(done, of int)

	lock     sync.Mutex
	done, of int
}

// readAll reads the anchors, then the rest, then what waited for an anchor.
func (j *rereadJob) readAll(ctx context.Context, all []*rereading) error {
	var anchors, others []*rereading
	for _, r := range all {
		if j.isAnchor(r) {
			anchors = append(anchors, r)
		} else {
			others = append(others, r)
		}
	}
	if err := j.read(ctx, anchors, strips{references: j.known.references}); err != nil {
		return err
	}
	// An anchor that the present reader finds unfit makes room for a photograph that is
	// fit; where there is none, it stays.
	unfit := map[*rereading]store.KeptStrip{}
	for _, r := range anchors {
		if r.Refusal == nil && r.flaw <= 1 {
			j.anchor(r)
			continue
		}
		for print, strip := range j.known.anchors {
			if strip.SHA256 == r.SHA256 {
				unfit[r] = strip
				delete(j.known.anchors, print)
			}
		}
	}
	if err := j.read(ctx, others, j.known); err != nil {
		return err
	}
	chosen := j.chooseAnchors(others)
	for r, strip := range unfit {
		if j.known.hasAnchor(strip.Print) {
			others = append(others, r)
			continue
		}
		j.known.anchors[strip.Print] = strip
		j.anchor(r)
		delete(unfit, r)
	}
	var waited []*rereading
	for _, r := range others {
		switch {
		case slices.Contains(chosen, r):
		case r.Correction.Kind == string(photo.ByWhite) && j.known.hasAnchor(r.kept.Print):
			waited = append(waited, r)
		default:
			r.kept.Anchor = nil
		}
	}
	j.of += len(waited)
	err := j.read(ctx, waited, j.known)
	for _, r := range waited {
		r.kept.Anchor = nil
	}
	for r := range unfit {
		r.Notes = append(r.Notes, "it is no longer the anchor of its print, but a photograph that is fit for it: "+cmp.Or(r.why, "it cannot be read any more"))
	}
	return err
}

// chooseAnchors gives each print without an anchor its best photograph.
func (j *rereadJob) chooseAnchors(photos []*rereading) []*rereading {
	best := map[string]*rereading{}
	for _, r := range photos {
		print := r.kept.Print
		if r.Refusal == nil && print != "" && r.kept.Anchor != nil && r.flaw <= 1 && !j.known.hasAnchor(print) &&
			(best[print] == nil || r.flaw < best[print].flaw) {
			best[print] = r
		}
	}
	chosen := slices.Collect(maps.Values(best))
	for _, r := range chosen {
		j.anchor(r)
	}
	return chosen
}

func (j *rereadJob) isAnchor(r *rereading) bool {
	for _, k := range j.known.anchors {
		if k.SHA256 == r.SHA256 {
			return true
		}
	}
	return false
}

// anchor makes a photograph's strip the anchor of its print, unless too little of it
// can be used or the photograph was refused.
func (j *rereadJob) anchor(r *rereading) {
	if r.Refusal == nil && r.kept.Anchor != nil {
		j.known.anchors[r.kept.Print] = store.KeptStrip{Print: r.kept.Print, Patches: r.kept.Anchor, SHA256: r.SHA256}
	}
}

// read reads photographs with the strips that are known, as many at once as there
// are cores.
func (j *rereadJob) read(ctx context.Context, photos []*rereading, known strips) error {
	next := make(chan *rereading)
	var readers sync.WaitGroup
	for range min(len(photos), runtime.GOMAXPROCS(0)) {
		readers.Go(func() {
			for r := range next {
				r.Refusal = j.w.readAgain(ctx, r, known)
				j.tell()
			}
		})
	}
	for _, r := range photos {
		if ctx.Err() != nil {
			break
		}
		next <- r
	}
	close(next)
	readers.Wait()
	return ctx.Err()
}

func (j *rereadJob) tell() {
	j.lock.Lock()
	defer j.lock.Unlock()
	j.done++
	if j.progress != nil {
		j.progress(j.done, j.of)
	}
}

// readAgain reads one photograph; an error leaves it as it was.
func (w *Workshop) readAgain(ctx context.Context, r *rereading, known strips) error {
	r.kept, r.fresh, r.Drops = store.Photo{}, nil, nil
	old, err := w.Store.Photo(ctx, r.SHA256)
	if err != nil {
		return err
	}
	seen, err := lookAgain(old, known)
	if err != nil {
		return err
	}
	kept := readingOf(seen)
	kept.Name, kept.RecordedAt = old.Name, old.RecordedAt
	byNumber := map[int]photo.Drop{}
	for _, d := range seen.Drops {
		byNumber[d.Number] = d
	}
	var fresh []wax.Swatch
	var drops []RereadDrop
	for _, s := range r.swatches {
		d, ok := byNumber[s.Drop]
		if !ok {
			return otherNumbers(s.Drop)
		}
		old := s
		measure(&s, d, seen.Bar)
		drops = append(drops, RereadDrop{Swatch: old, After: d.Colour.Lab, Changed: !isAsBefore(old, s)})
		fresh = append(fresh, s)
	}
	r.kept, r.fresh, r.Drops = kept, fresh, drops
	r.Correction, r.Quality, r.Notes = kept.Correction, kept.Quality, seen.Notes
	r.flaw, r.why = seen.AnchorFlaw()
	if r.first != nil || r.others != nil {
		r.kept.With = old.With
		r.told = photo.Reading{Drops: seen.Drops, Bar: seen.Bar, Joint: seen.Joint, Light: seen.Light, UnderLamp: seen.UnderLamp}
	}
	return nil
}

// lookAgain reads a photograph of the store.
func lookAgain(old store.Photo, known strips) (photo.Reading, error) {
	p, err := plan.Parse(old.PlanText)
	if err != nil {
		return photo.Reading{}, fmt.Errorf("its plan does not read any more: %w", err)
	}
	return look(old.Bytes, p, old.Chart, known)
}

// replaceAll puts all new numbers in place of the old at once: those of one
// photograph may rest on the anchor that another gave.
func (w *Workshop) replaceAll(ctx context.Context, all []*rereading) error {
	var readings []store.Reading
	for _, r := range all {
		if r.Refusal == nil && (len(r.fresh) > 0 || r.first != nil) {
			readings = append(readings, store.Reading{SHA256: r.SHA256, Photo: r.kept, Swatches: r.fresh})
		}
	}
	left, err := w.Store.Replace(ctx, w.Now(), readings...)
	if err != nil {
		return fmt.Errorf("the new numbers could not be kept, and all old ones stay: %w", err)
	}
	for _, r := range all {
		if err := left[r.SHA256]; err != nil { // removed meanwhile
			r.Refusal = err
		}
	}
	return nil
}
