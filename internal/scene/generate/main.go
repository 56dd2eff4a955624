// Command generate renders the demo's card photographs, with their plans and the
// truth of every drop, into the folder it is started in. It is run by
//
//	go generate ./swatches
package main

import (
	"bytes"
	"fmt"
	"log"
	"os"

	"setshade/internal/scene"
)

// quality of the JPEG files.
const quality = 90

func main() {
	log.SetFlags(0)
	shelf := &scene.Shelf{Wax: scene.NewWax(scene.Soy), Dyes: dyes}
	truth := "photo,drop,recipe,L,a,b,x_px,y_px,radius_px,thickness_mm\n"
	for _, c := range cards() {
		picture, rows, err := c.render(shelf)
		if err != nil {
			log.Fatal(err)
		}
		truth += rows
		for name, content := range map[string][]byte{c.name + ".jpg": picture, c.name + ".plan": []byte(c.plan())} {
			if err := os.WriteFile(name, content, 0o644); err != nil {
				log.Fatal(err)
			}
		}
	}
	if err := os.WriteFile("truth.csv", []byte(truth), 0o644); err != nil {
		log.Fatal(err)
	}
}

// render returns the photograph as a JPEG file, and a row of truth for each drop.
func (c card) render(shelf *scene.Shelf) (picture []byte, truth string, err error) {
	photo := c.sheet(shelf).Photograph(c.view)
	var b bytes.Buffer
	if err := photo.WriteJPEG(&b, quality); err != nil {
		return nil, "", err
	}
	for _, d := range photo.Drops {
		truth += fmt.Sprintf("%s,%d,%s,%.3f,%.3f,%.3f,%.1f,%.1f,%.1f,%.3f\n", c.name, d.Number, d.Recipe,
			d.Lab.L, d.Lab.A, d.Lab.B, d.CentrePx.X, d.CentrePx.Y, d.RadiusPx, d.ThicknessMM)
	}
	return b.Bytes(), truth, nil
}
