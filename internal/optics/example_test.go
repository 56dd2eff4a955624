package optics_test

import (
	"fmt"

	"setshade/internal/optics"
)

// A drop too thin to hide its white card is lighter than the melt will be.
func Example() {
	wax := optics.SurfaceOf(1.44)
	melt, drop := optics.ReflectanceOfKS(0.2), optics.Film(0.2, 3, 0.9)
	fmt.Printf("inside the wax: melt %.3f, drop %.3f\n", melt, drop)
	fmt.Printf("seen outside:   melt %.3f, drop %.3f\n", wax.Outside(melt), wax.Outside(drop))
	// Output:
	// inside the wax: melt 0.537, drop 0.546
	// seen outside:   melt 0.328, drop 0.336
}
