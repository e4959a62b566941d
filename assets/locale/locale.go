// Package locale gives the toolkit a language it can read where the system
// names the plain C locale with an encoding (LANG=C.UTF-8), which it would
// complain about at every start. It is a module of its own because packages
// are initialised in the order of their paths, and this one must come before
// the toolkit's.
package locale

import (
	"os"
	"strings"
)

func init() {
	for _, name := range []string{"LC_ALL", "LC_MESSAGES", "LANG"} {
		value := os.Getenv(name)
		if value == "" {
			continue
		}
		if base, _, _ := strings.Cut(value, "."); base == "C" || base == "POSIX" {
			os.Setenv(name, "C")
		}
	}
}
