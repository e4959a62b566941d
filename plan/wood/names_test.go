package wood

import (
	"strings"
	"testing"
)

func TestNamesMakersUseFindASpecies(t *testing.T) {
	for _, c := range []struct {
		name, want string
		assumes    bool
	}{
		{"pine_loblolly", "pine_loblolly", false},
		{"Pine, loblolly", "pine_loblolly", false},
		{"loblolly pine", "pine_loblolly", false},
		{"LOBLOLLY", "pine_loblolly", false},
		{"pine", "pine_ponderosa", true},
		{"oak", "oak_northern_red", true},
		{"White Oak", "oak_white", false},
		{"SPF", "pine_lodgepole", true},
		{"S-P-F", "pine_lodgepole", true},
		{"pallet hardwood", "oak_northern_red", true},
		{"fir", "douglas_fir_coast", true},
		{"white fir", "fir_white", false},
		{"Douglas-fir", "douglas_fir_coast", true},
		{"", "pine_lodgepole", true},
		{"black spruce", "spruce_black", false},
	} {
		m, ok := Find(c.name)
		if !ok || m.Species.ID != c.want || (m.Assumption != "") != c.assumes {
			t.Errorf("Find(%q) = %s, assumption %q, %v; want %s, assumed %v", c.name, m.Species.ID, m.Assumption, ok, c.want, c.assumes)
		}
	}
	if m, ok := Find("unobtanium"); ok {
		t.Errorf("an unknown name found %s", m.Species.ID)
	}
	if m := Reckon("unobtanium"); m.Species.ID != Unknown || !strings.Contains(m.Assumption, "unobtanium") {
		t.Errorf("Reckon: %+v", m)
	}
}

func TestEveryAliasNamesASpecies(t *testing.T) {
	seen := map[string]bool{}
	for _, a := range aliases {
		if _, ok := ByID(a.id); !ok {
			t.Errorf("alias %q names %q", a.name, a.id)
		}
		if seen[a.name] {
			t.Errorf("alias %q stands twice", a.name)
		}
		seen[a.name] = true
		if strings.Join(nameWords(a.name), " ") != a.name {
			t.Errorf("alias %q is not in plain form and can never be found", a.name)
		}
	}
	for _, n := range Names() {
		if _, ok := Find(n); !ok {
			t.Errorf("the listed name %q is not found", n)
		}
	}
}

func FuzzFind(f *testing.F) {
	for _, n := range []string{"", "oak", "pine, western white", "   ", "éàü", "pallet-hardwood", "\x00\xff"} {
		f.Add(n)
	}
	f.Fuzz(func(t *testing.T, name string) {
		m, ok := Find(name)
		if ok == (m.Species.ID == "") {
			t.Errorf("Find(%q): ok %v with species %q", name, ok, m.Species.ID)
		}
		if Reckon(name).Species.ElasticityMPa <= 0 {
			t.Errorf("Reckon(%q) gives a species without stiffness", name)
		}
	})
}

func TestABrokenTableIsRefusedWithItsLine(t *testing.T) {
	head := "id,name,group,found_as,sg_green,sg_12,moe_mpa_12,moe_mpsi_12,mor_kpa_12,mor_psi_12,side_hardness_n_12,side_hardness_lbf_12,shrink_radial_pct,shrink_tangential_pct,cr,ct,fsp_pct,shrink_status,coef_status,source,note\n"
	good := "a,A,softwood,,.4,.45,9000,1.3,60000,8700,2000,450,4,7,,,30,read,read,book,\n"
	if _, err := parseSpecies(head + good); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct{ text, want string }{
		"not a number":      {head + strings.Replace(good, "9000", "stiff", 1), "line 2"},
		"a negative number": {head + strings.Replace(good, "9000", "-9", 1), "line 2"},
		"no source":         {head + strings.Replace(good, "book", "", 1), "line 2"},
		"an unknown group":  {head + strings.Replace(good, "softwood", "plywood", 1), "line 2"},
		"the same id twice": {head + good + good, "line 3"},
		"a missing column":  {strings.Replace(head, "ct,", "cx,", 1) + good, "missing"},
		"empty":             {"", "no species"},
	} {
		if _, err := parseSpecies(c.text); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want %q in it", name, err, c.want)
		}
	}
}

func FuzzParseSpecies(f *testing.F) {
	f.Add(speciesCSV)
	f.Add("id,name\n1,2\n")
	f.Add("\"")
	f.Fuzz(func(t *testing.T, text string) {
		list, err := parseSpecies(text)
		if err != nil {
			return
		}
		for _, s := range list {
			if s.ID == "" || s.Gravity12 <= 0 {
				t.Errorf("accepted %+v", s)
			}
		}
	})
}
