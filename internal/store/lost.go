package store

import (
	"cmp"
	"fmt"

	"setshade/internal/english"
)

// Lost is a photograph of which all is there but the bytes: its file is gone, cannot
// be read, or is not what was recorded. The swatches read from it stay.
type Lost struct {
	KeptPhoto
	// SwatchIDs are the numbers of its swatches, in order.
	SwatchIDs []int64
	// Why is a sentence.
	Why error
}

// Of names its swatches and the day on which they were recorded, in UTC: "swatches 4
// to 6 of 4 March 2025".
func (l Lost) Of() string {
	return numbered(l.SwatchIDs) + " of " + l.RecordedAt.UTC().Format("2 January 2006")
}

// String is the sentence that tells the maker, without its full stop.
func (l Lost) String() string {
	return fmt.Sprintf("%s %s without a photograph: %s", l.Of(), english.Plural(len(l.SwatchIDs), "is", "are"), l.Why)
}

// Lost returns the photographs that are lost, in the order in which they were
// recorded; why has the reason for each by its hash.
func (c Contents) Lost(why map[string]error) []Lost {
	if len(why) == 0 {
		return nil
	}
	swatches := map[string][]int64{}
	for _, sw := range c.Swatches {
		swatches[sw.Photo.SHA256] = append(swatches[sw.Photo.SHA256], sw.ID)
	}
	var lost []Lost
	for _, p := range c.Photos {
		if why[p.SHA256] != nil {
			lost = append(lost, Lost{p, swatches[cmp.Or(p.With, p.SHA256)], why[p.SHA256]})
		}
	}
	return lost
}
