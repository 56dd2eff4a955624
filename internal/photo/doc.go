// Package photo turns a photograph of test drops on white card into colours.
//
// A camera records light, not colour: a drop under a lamp looks as the lamp
// makes it. What can be trusted is the comparison of a drop with the bare card
// beside it, in the same picture, under the same light. The whole package is
// that comparison, done with care:
//
//  1. open: the file becomes linear light, upright and about a megapixel large
//     (package picture)
//  2. card: a printed test card by its fiducials, three of the four in any turn
//     or tilt, and its code, or what of that is not under wax; else the bright,
//     even region with its four sides
//  3. flatten: a smooth surface fitted to bare card says how bright card white
//     would be at each pixel; dividing by it leaves the reflectance relative
//     to the card, free of uneven and coloured light. A shadow with an edge is not
//     smooth: a drop is set right by the ring of bare card around it, and refused
//     where the ring is not even
//  4. correct: what a strip or a chart of known colours shows of the camera's
//     tone curve and of how it mixes colours is undone. How much is fitted is
//     chosen by patches held out
//  5. drops: what differs from card white in its chromaticity, or is much
//     darker. A shadow is the same chromaticity, only darker. Drops that touch
//     are parted
//  6. order: the numbered places of a printed card; else rows along the card's
//     own axes, left to right, from the side that lies topmost in the picture. Rows of
//     the plan that the drops do not stand in are refused
//  7. colour: a drop is a dome, thin at its rim and shining where the lamp
//     mirrors in it. A small surface is fitted to its middle with highlights and
//     bits left out, and read at the centre; over white and over black if the
//     drop lies on both
//
// A JPEG of quality below 90 rounds the chroma of a whole drop alike, and of the card
// and the strip beside it. Steps 3, 4 and 7 therefore ask of each block of the file
// between which bounds its chroma can have been, and take the colour that agrees with
// all blocks of the area at their luma (unround, bounded).
//
// Spot reads one place of any photograph by steps 1 to 4, and says when there was
// nothing in it to correct by.
//
// What was read where is drawn by Reading.Overlay; Reading.FlatField and
// Reading.Residuals show the light. A picture that cannot be trusted is refused
// with a picture.Refusal: one sentence on what is wrong and one on what to do; the partial
// Reading returned beside it still draws an overlay when the picture could be
// decoded. Reading.Quality and Reading.Correction say how good it is.
//
// Limits: without a strip or chart of known colours the camera is taken at its
// word for all but white. What a lamp does to dyes nothing takes away; it is told where
// its colour is left on the card (UnderLamp). What rounding took from a chart's patches, or at a place
// that Spot reads, is not found again. A drop on a plain card whose chromaticity is
// the card's to within the noise, and which is not much darker, is not told from a
// shadow. A veil of glare over the whole of a drop, fainter than card white, is not
// told from paler wax: one over its middle is, from a few hundredths of white on. What
// covers half of the part of a drop that is read, or more, is told by the wax around it
// (offHue); not where it reaches to the drop's rim, or has the wax's own hue and goes
// beyond the part read. Lens distortion is not undone.
package photo
