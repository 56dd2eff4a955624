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
//  7. colour: the middles of all drops, cut into small squares, are explained together by
//     one model of how a drop makes a picture: its body, the light on its tilted
//     surface, and what that mirrors of the room and of the lamp (package drop). A square
//     that no wax explains is left out as a bit of something else. Of a drop over the
//     printed bar the part on white and the part on black are read each for itself
//
// A JPEG of quality below 90 rounds the chroma of an even area alike. Steps 3 and 4
// therefore ask of each block of the file between which bounds its chroma can have been,
// and take the colour of the card and of the strip's patches that agrees with all blocks
// of the area at their luma (unround, bounded). The drops are read as the file has them.
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
// Limits: without a strip or chart of known colours the camera is taken at its word
// for all but white. What a lamp does to dyes nothing takes away; it is told where its
// colour is left on the card (UnderLamp). What rounding took from a chart's patches,
// or at a place that Spot reads, is not found again. A drop on a plain card whose
// chromaticity is the card's to within the noise, and which is not much darker, is not
// told from a shadow. How much of the room a drop mirrors evenly is known only by the
// kind of room: light that is the same at every tilt is not told from paler wax, nor
// is a faint veil of glare. That doubt is shared by all drops (Reading.Joint), and is
// largest, in chroma, for dark and vivid ones. What covers most of the part of a drop
// that is read may be taken for the wax itself. Lens distortion is not undone.
package photo
