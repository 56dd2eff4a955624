// Package plane is the geometry of flat things in pictures.
//
// A card, its places and its print are flat, and so is a picture; a camera maps one
// onto the other. Lines stay lines in it, and a circle becomes an ellipse. The
// package has the shapes, and fits them to places found in a picture:
//
//   - Point, Line, Quad and polygons, with hull, area and the pixels inside
//   - Ellipse, by its moments, and the circle through an arc
//   - Homography, the map of a camera that looks at a plane, and FitMap, which finds
//     it from pairs of places of which some are wrong
//
// Coordinates are of whatever the caller counts in, pixels or millimetres. In
// pictures y runs down, and "clockwise" is meant as seen on the screen; the centre of
// pixel (x, y) lies at x+½, y+½. Lens distortion is not known here.
package plane
