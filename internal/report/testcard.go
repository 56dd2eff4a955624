package report

import (
	"fmt"

	"setshade/internal/card"
	"setshade/internal/english"
	"setshade/internal/workshop"
)

// TestCard says what was written for printing, and how to print it; the sheet is nil
// for paper of the card's size.
func TestCard(file string, g card.Geometry, sheet *card.Layup) string {
	var t text
	t.prose("", "Wrote %s: the test card %s, %s by %s, with %d places for drops.", file, g.Print(),
		hold(Quantity(g.PaperMM.X, "mm")), hold(Quantity(g.PaperMM.Y, "mm")), len(g.Drops))
	if sheet != nil {
		t.prose("", "It is a sheet of %s with %s on it, to cut along the grey marks.", sheet.Sheet, english.Count(len(sheet.Corners), "card", "cards"))
	}
	t.prose("", "%s", TrueScaleText())
	return t.String()
}

// TrueScaleText says how to print the card, and how to see that it came out right.
func TrueScaleText() string {
	return fmt.Sprintf("Print it at true scale (100 %%, not fitted to the page) on matt white card. Then lay a ruler on the printed one: it must measure %s; if it does not, print again.", hold(Quantity(card.RulerMM, "mm")))
}

// Strips writes the strips that printed cards are taken to have; nothing when there
// are none.
func Strips(c Colours, strips []workshop.PrintStrip) string {
	var t text
	for _, s := range strips {
		t.line("Printed card %s, from %s, %s", s.Print, s.Name, s.KeptAt.UTC().Format("2006-01-02 15:04 UTC"))
		table := NewTable(Column{"patch", true}, Column{"L*", true}, Column{"a*", true}, Column{"b*", true}, Column{"shade", false})
		for i, lab := range s.Patches {
			if !lab.IsFinite() {
				table.Row(fmt.Sprint(i+1), "-", "-", "-", "not read")
				continue
			}
			table.Row(fmt.Sprint(i+1), fixed(lab.L, 1), fixed(lab.A, 1), fixed(lab.B, 1), c.Shade(lab))
		}
		t.table("", table)
	}
	return t.String()
}

// HowToPhotograph tells on one screen how a card is photographed: the geometry 45/0 of
// CIE 15:2018, light at 45 degrees and the eye straight above, in which glossy things
// mirror nothing that is bright. What a drop mirrors, and what a sheet takes away, was
// measured on path-traced drops under sheets of 420 x 594 mm.
const HowToPhotograph = `How to photograph a card

         ___________         black sheet, A2,
        |____( )____|        a hole for the lens
  \          :
   \         :               look straight down
    \ light  :
     \ 45    :               window on one side,
      \ deg  :               nothing bright behind
       \     :
        _o_o_o_o_            the card, flat, on a
   -----------------------   darker table

A drop is a small mirror: it shows the ceiling, the sky and the telephone, which
makes it paler than its wax by up to 6 L*.

1. Card flat on a table darker than the card, all of it in the picture and some
   table around. Keep shadows and your hand off it.
2. Daylight from one side, at about 45 degrees. No lamp, no flash, no sun on it.
3. Something black and dull above the card, such as cloth or card of 42 x 59 cm,
   with a hole for the lens. It takes most of what drops mirror.
4. Hold the camera straight above, so far away that the card fills half the
   picture. Switch HDR, flash, night and portrait modes and filters off.
5. Take a second photograph of the same card without the black sheet, or under an
   overcast sky, and record both:
     setshade record a.jpg b.jpg --same-card --under black,window
   The two together all but tell what the drops mirror. A card that is only turned
   half round in the same light tells nothing new.

Photograph the same drops liquid, then set, as often as you like: each state has one
swatch a drop. Hot wax burns and catches fire: never leave it to take a photograph.
`
