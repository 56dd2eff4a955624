// Package scene renders a photograph of a white card with wax drops from
// spectra, with the truth of every drop beside it. Demo pictures and accuracy
// tests are made with it; nothing that a maker measures passes through it.
//
// The colour of a drop comes from radiative transfer (package transport): light
// enters through the wax's surface, is scattered by wax crystals and absorbed by
// dye, meets the card and finds its way out. Kubelka-Munk, with which drops are
// read and predicted elsewhere, has no part in it.
//
//	soy := scene.NewWax(scene.Soy)
//	shelf := scene.RandomShelf(soy, 7, 6)
//	thick := shelf.ThickReflectance(recipe)
//	sheet := scene.Sheet{Shelf: shelf, Card: scene.WhiteCard(), State: wax.SetState, Rows: rows}
//	photo := sheet.Photograph(scene.Options{Seed: 1, RotationDegrees: 3})
//
// With a Print the card is the printed test card of package card: drops stand on
// its numbered places, and wax over the black bar shows it through. Its inks are
// invented too, so patches have the colour asked for only roughly, as on paper.
//
// A room stands around the card (Options.Room). Its window, lamp or sky lights the
// card with radiance 1, and the same room shades the drops by their tilt, is mirrored in
// their rough surface after Fresnel, is cut off in their shadows, and fills these. What
// leaves a drop's middle (Truth.Middle) is then what a reader should find, and what is
// mirrored there (Truth.Mirrored) what it should take away.
//
// What is drawn but not derived: the table, the dome of a drop, the unevenness of the
// light. Light does not travel sideways out of a drop, and each point of it has the
// colour of an even layer a little thicker than the drop is there.
//
// The optical constants of wax and dyes are invented, plausible in size; no
// product was measured. The same seed gives the same picture.
package scene
