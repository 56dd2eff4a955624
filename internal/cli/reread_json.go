package cli

import (
	"time"

	"setshade/internal/workshop"
)

// rereadJSON is the shape of a rereading in JSON.
type rereadJSON struct {
	BroughtBack *time.Time        `json:"brought_back" means:"when what was brought back had been replaced"`
	Replaced    bool              `json:"replaced"`
	Photos      []rereadPhotoJSON `json:"photos"`
}

// rereadPhotoJSON is the shape of one photograph; refused is null when it was read.
type rereadPhotoJSON struct {
	Name      string  `json:"name"`
	SHA256    string  `json:"sha256"`
	Refused   *string `json:"refused" means:"why the old numbers stay"`
	OldReader int     `json:"old_reader_version"`
	Reader    int     `json:"reader_version"`
	readingJSON
	MedianDE00 float64          `json:"median_de00"`
	WorstDE00  float64          `json:"worst_de00"`
	Drops      []rereadDropJSON `json:"drops"`
	Notes      []string         `json:"notes"`
}

type rereadDropJSON struct {
	Number     int64   `json:"number"`
	Drop       int     `json:"drop"`
	Before     numbers `json:"lab_before"`
	Lab        numbers `json:"lab"`
	ChangeDE00 float64 `json:"change_de00"`
}

func rereadJSONOf(r workshop.Reread) rereadJSON {
	out := rereadJSON{nil, r.Replaced, nil}
	for _, p := range r.Photos {
		j := rereadPhotoJSON{
			Name: p.Name, SHA256: p.SHA256, OldReader: p.OldReader, Reader: p.Reader, readingJSON: readingJSONOf(p.Correction, p.Quality),
			MedianDE00: p.MedianDE00(), WorstDE00: p.WorstDE00(), Notes: p.Notes,
		}
		if p.Refusal != nil {
			why := p.Refusal.Error()
			j.Refused, j.Reader = &why, p.OldReader
		}
		for _, d := range p.Drops {
			j.Drops = append(j.Drops, rereadDropJSON{d.Swatch.ID, d.Swatch.Drop, numbers(d.Swatch.Colour.Lab), numbers(d.After), d.DE00()})
		}
		out.Photos = append(out.Photos, j)
	}
	return out
}
