"""CxF as instruments export it.  The forms are from memory of ISO 17972-1 and its CxF3 core:
ours are the numbers, not the structure."""

import time

import numpy as np
import pytest
from coloraide import Color

from livery.colour.card_tables import read_cards
from livery.colour.conversion import lab_from_xyz, white
from livery.colour.palette import Geometry
from livery.colour.science import colour_science
from livery.colour.spectra import lab_from_reflectance
from livery.findings import LiveryError

GRID = np.arange(400, 701, 10)
CURVE = [round(float(v), 4) for v in 0.2 + 0.15 * np.sin(GRID / 45)]
NUMBERS = " ".join(map(str, CURVE))


def _file(folder, name, text):
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


CXF = """<?xml version="1.0" encoding="UTF-8"?>
<cc:CxF xmlns:cc="http://colorexchangeformat.com/CxF3-core">
  <cc:Resources>
    <cc:ObjectCollection>
      <cc:Object ObjectType="Standard" Name="lining cream" Id="o1">
        <cc:ColorValues>{value}</cc:ColorValues>
      </cc:Object>
    </cc:ObjectCollection>
    <cc:ColorSpecificationCollection>
      <cc:ColorSpecification Id="spec">
        <cc:TristimulusSpec>
          <cc:Illuminant>D50</cc:Illuminant>
          <cc:Observer>{observer}</cc:Observer>
        </cc:TristimulusSpec>
        <cc:MeasurementSpec>
          <cc:MeasurementType>Spectrum_Reflectance</cc:MeasurementType>
          <cc:GeometryChoice>{geometry}</cc:GeometryChoice>
          <cc:WavelengthRange StartWL="400" Increment="10"/>
        </cc:MeasurementSpec>
      </cc:ColorSpecification>
    </cc:ColorSpecificationCollection>
  </cc:Resources>
</cc:CxF>
"""
ANGLE = "<cc:SingleAngle><cc:SingleAngleConfiguration>Annular</cc:SingleAngleConfiguration></cc:SingleAngle>"
SPHERE = "<cc:Sphere><cc:SphereConfiguration>d/8:i</cc:SphereConfiguration></cc:Sphere>"


def _cxf(folder, value, observer="2_Degree", geometry=ANGLE):
    text = CXF.format(value=value, observer=observer, geometry=geometry)
    return _file(folder, "cards.cxf", text)


def test_cxf_lab(tmp_path):
    value = (
        '<cc:ColorCIELab ColorSpecification="spec"><cc:L>88.5</cc:L><cc:A>1.5</cc:A>'
        "<cc:B>14</cc:B></cc:ColorCIELab>"
    )
    palette = read_cards(_cxf(tmp_path, value, "10_Degree", SPHERE))
    (swatch,) = palette.swatches
    assert (swatch.key, swatch.lab) == ("lining cream", (88.5, 1.5, 14.0))
    assert (palette.illuminant, palette.observer) == ("D50", 10)
    assert palette.geometry is Geometry.SPECULAR_INCLUDED


def test_cxf_xyz(tmp_path):
    value = (
        '<cc:ColorCIEXYZ ColorSpecification="spec"><cc:X>20</cc:X><cc:Y>21</cc:Y>'
        "<cc:Z>15</cc:Z></cc:ColorCIEXYZ>"
    )
    (swatch,) = read_cards(_cxf(tmp_path, value)).swatches
    assert swatch.lab == pytest.approx(lab_from_xyz([0.20, 0.21, 0.15], white("D50")))


def _value(tag, **axes):
    inner = "".join(f"<cc:{axis}>{number}</cc:{axis}>" for axis, number in axes.items())
    return f'<cc:{tag} ColorSpecification="spec">{inner}</cc:{tag}>'


def test_cxf_lch_is_lab_in_other_coordinates(tmp_path):
    """Against coloraide, which no part of the reader uses."""
    (swatch,) = read_cards(_cxf(tmp_path, _value("ColorCIELCh", L=50, C=32, H=150))).swatches
    assert swatch.lab == pytest.approx(Color("lch", [50, 32, 150]).convert("lab").coords())


def test_cxf_xyy_is_xyz_in_other_coordinates(tmp_path):
    (swatch,) = read_cards(_cxf(tmp_path, _value("ColorCIExyY", x=0.31, y=0.35, Y=21))).swatches
    xyz = colour_science().xyY_to_XYZ([0.31, 0.35, 0.21])
    assert swatch.lab == pytest.approx(lab_from_xyz(xyz, white("D50")))


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (_value("ColorCIELCh", L=300, C=3, H=20), "runs from 0 to 100"),
        (_value("ColorCIExyY", x=0.31, y=0, Y=21), "not a chromaticity"),
        (_value("ColorCIExyY", x=0.71, y=0.5, Y=21), "not a chromaticity"),
        (_value("ColorCIExyY", x=0.31, y=0.3), "not numbers"),
    ],
)
def test_colours_that_cannot_be_are_refused(tmp_path, value, words):
    with pytest.raises(LiveryError, match=words):
        read_cards(_cxf(tmp_path, value))


def test_cxf_spectrum(tmp_path):
    numbers = " ".join(map(str, CURVE))
    value = f'<cc:ReflectanceSpectrum ColorSpecification="spec">{numbers}</cc:ReflectanceSpectrum>'
    palette = read_cards(_cxf(tmp_path, value))
    assert palette.swatches[0].reflectance == tuple(CURVE)
    assert palette.wavelengths_nm == tuple(GRID.tolist())
    assert palette.labs[0] == pytest.approx(lab_from_reflectance(CURVE, GRID))
    assert palette.geometry is Geometry.SPECULAR_EXCLUDED


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("<a><b></a>", "not well-formed XML"),
        ("<notes/>", "is not CxF: its outermost element is notes"),
        ("<CxF/>", "has no measured colours"),
        ('<!DOCTYPE CxF [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><CxF>&b;</CxF>', "document type"),
        ('<!DOCTYPE CxF SYSTEM "file:///etc/hostname"><CxF/>', "document type"),
        (
            "<CxF><Object Name='x'><ColorCIELab><L>1</L><A>q</A><B>2</B></ColorCIELab></Object></CxF>",
            'not numbers: "1 q 2"',
        ),
        (
            "<CxF><Object Name='x'><ReflectanceSpectrum>0.1 0.2</ReflectanceSpectrum></Object></CxF>",
            "at which wavelength",
        ),
    ],
)
def test_cxf_faults(tmp_path, text, message):
    with pytest.raises(LiveryError) as caught:
        read_cards(_file(tmp_path, "cards.cxf", text))
    assert message in caught.value.findings[0].message


NAMESPACE = "http://colorexchangeformat.com/CxF3-core"
SPECIFICATIONS = {
    "D50/2": ("D50", "2_Degree"),
    "D65/10": ("D65", "10_Degree"),
    "D65/2": ("D65", "2_Degree"),
    "F11/10": ("F11", "10_Degree"),
}


def _specification(key, grid='<WavelengthRange StartWL="400" Increment="10"/>'):
    illuminant, observer = SPECIFICATIONS[key]
    return (
        f'<ColorSpecification Id="{key}"><TristimulusSpec><Illuminant>{illuminant}</Illuminant>'
        f"<Observer>{observer}</Observer></TristimulusSpec><MeasurementSpec>{grid}"
        "</MeasurementSpec></ColorSpecification>"
    )


def _lab(key, lightness, a=0, b=0):
    reference = f' ColorSpecification="{key}"' if key else ""
    return f"<ColorCIELab{reference}><L>{lightness}</L><A>{a}</A><B>{b}</B></ColorCIELab>"


def _spectrum(key="D50/2", numbers=NUMBERS, more=""):
    return f'<ReflectanceSpectrum ColorSpecification="{key}"{more}>{numbers}</ReflectanceSpectrum>'


def _object(name, *values, kind="Target"):
    inside = "".join(values)
    return (
        f'<Object ObjectType="{kind}" Name="{name}" Id="{name}"><CreationDate>2026-01-01T00:00:00'
        f"</CreationDate><ColorValues>{inside}</ColorValues></Object>"
    )


def _whole(*objects, specifications=tuple(SPECIFICATIONS), grid=None, root=f'xmlns="{NAMESPACE}"'):
    given = "".join(
        _specification(key) if grid is None else _specification(key, grid) for key in specifications
    )
    return (
        f"<CxF {root}><FileInformation><Creator>Marram Coast (invented)</Creator></FileInformation>"
        f"<Resources><ObjectCollection>{''.join(objects)}</ObjectCollection>"
        f"<ColorSpecificationCollection>{given}</ColorSpecificationCollection></Resources></CxF>"
    )


@pytest.mark.parametrize(
    "root", [f'xmlns="{NAMESPACE}"', 'xmlns="urn:another-edition"', "", 'xmlns:x="urn:unused"']
)
def test_any_namespace_or_none(tmp_path, root):
    text = _whole(_object("green", _lab("D50/2", 30, -20, 5)), root=root)
    palette = read_cards(_file(tmp_path, "cards.cxf", text))
    assert palette.swatches[0].lab == (30, -20, 5)
    assert (palette.illuminant, palette.observer) == ("D50", 2)


def test_of_several_specifications_daylight_and_2_degrees_go_first(tmp_path):
    values = {key: _lab(key, 10 + i) for i, key in enumerate(SPECIFICATIONS)}
    path = tmp_path / "cards.cxf"
    for given, taken in (
        (("D50/2", "D65/10", "D65/2", "F11/10"), "D65/2"),
        (("D50/2", "D65/10"), "D65/10"),
        (("F11/10", "D50/2"), "D50/2"),
    ):
        path.write_text(_whole(_object("green", *(values[key] for key in given))))
        palette = read_cards(path)
        assert palette.swatches[0].lab[0] == 10 + list(SPECIFICATIONS).index(taken)
        illuminant, observer = SPECIFICATIONS[taken]
        assert palette.illuminant == illuminant.replace("F11", "FL11")
        assert f"{palette.observer}_Degree" == observer


def test_a_way_that_all_objects_have_goes_before_a_better_one_that_some_have(tmp_path):
    text = _whole(
        _object("standard", _spectrum(), _lab("D65/2", 31), kind="Standard"),
        _object("trial", _lab("D50/2", 40), _lab("D65/2", 32)),
    )
    palette = read_cards(_file(tmp_path, "cards.cxf", text))
    assert [s.key for s in palette.swatches] == ["standard", "trial"]
    assert palette.labs[:, 0].tolist() == [31, 32]
    assert palette.illuminant == "D65"


def test_the_object_without_the_common_way_is_named(tmp_path):
    text = _whole(
        _object("first", _lab("D50/2", 31)),
        _object("second", _lab("D50/2", 31)),
        _object("odd", _lab("D65/2", 31)),
    )
    with pytest.raises(LiveryError, match='measures "odd" in another way'):
        read_cards(_file(tmp_path, "cards.cxf", text))


def test_a_spectrum_goes_before_screen_and_other_values(tmp_path):
    screen = "<ColorSRGB><R>31</R><G>78</G><B>61</B></ColorSRGB>"
    text = _whole(_object("green", screen, _lab("D50/2", 30), _spectrum()))
    palette = read_cards(_file(tmp_path, "cards.cxf", text))
    assert palette.swatches[0].reflectance == tuple(CURVE)
    assert palette.illuminant == "D50"
    assert palette.swatches[0].lab == pytest.approx(lab_from_reflectance(CURVE, GRID, "D50"))


def test_a_spectrum_says_itself_where_it_starts_and_the_specification_how_it_goes_on(tmp_path):
    numbers = " ".join(map(str, CURVE[::2]))
    spectrum = _spectrum(numbers=numbers, more=' StartWL="400"')
    text = _whole(_object("green", spectrum), grid='<WavelengthRange Increment="20"/>')
    palette = read_cards(_file(tmp_path, "cards.cxf", text))
    assert palette.wavelengths_nm == tuple(GRID[::2].tolist())


def test_a_spectrum_is_read_under_daylight_where_its_light_is_not_known(tmp_path):
    text = _whole(_object("green", _spectrum())).replace("D50<", "Custom<")
    palette = read_cards(_file(tmp_path, "cards.cxf", text))
    assert palette.labs[0] == pytest.approx(lab_from_reflectance(CURVE, GRID))


@pytest.mark.parametrize("key", ["", "not there"])
def test_lab_without_a_specification_is_said_to_be_taken_for_daylight(tmp_path, key):
    text = _whole(_object("green", _lab(key, 30)), specifications=())
    palette = read_cards(_file(tmp_path, "cards.cxf", text))
    assert (palette.illuminant, palette.observer) == ("D65", 2)
    assert palette.note == "The file does not say for which light; D65 and 2 degrees are assumed."


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "iso-8859-1", "windows-1252"])
def test_encodings_that_the_file_declares(tmp_path, encoding):
    declared = encoding.removesuffix("-sig")
    text = f'<?xml version="1.0" encoding="{declared}"?>' + _whole(
        _object("grün é", _lab("D50/2", 30))
    )
    (tmp_path / "cards.cxf").write_bytes(text.encode(encoding))
    assert read_cards(tmp_path / "cards.cxf").swatches[0].key == "grün é"


@pytest.mark.parametrize(
    ("raw", "message"),
    [
        ("<CxF><Object Name='grün'/></CxF>".encode("latin-1"), "not well-formed XML"),
        (b'<?xml version="1.0" encoding="shift_jis"?><CxF/>', "cannot be read|not well-formed"),
        (b'<?xml version="1.0" encoding="no-such"?><CxF/>', "cannot be read|not well-formed"),
        (b"", "not well-formed XML"),
        (b"\x89PNG\r\n", "not well-formed XML"),
    ],
)
def test_bytes_that_are_no_text(tmp_path, raw, message):
    (tmp_path / "cards.cxf").write_bytes(raw)
    with pytest.raises(LiveryError, match=message):
        read_cards(tmp_path / "cards.cxf")


@pytest.mark.parametrize("steps", [3, 60])
def test_an_entity_bomb_is_refused_before_it_is_lit(tmp_path, steps):
    entities = '<!ENTITY e0 "pop">' + "".join(
        f'<!ENTITY e{i} "{f"&e{i - 1};" * 10}">' for i in range(1, steps)
    )
    text = f"<!DOCTYPE CxF [{entities}]><CxF>&e{steps - 1};</CxF>"
    start = time.process_time()
    with pytest.raises(LiveryError, match="declares a document type"):
        read_cards(_file(tmp_path, "cards.cxf", text))
    assert time.process_time() - start < 5


def test_elements_nested_as_deep_as_a_well(tmp_path):
    depth = 100_000
    text = "<CxF>" + "<a>" * depth + "</a>" * depth + "</CxF>"
    with pytest.raises(LiveryError, match="has no measured colours"):
        read_cards(_file(tmp_path, "cards.cxf", text))


def test_a_file_too_large_is_refused_unread(tmp_path, monkeypatch):
    monkeypatch.setattr("livery.colour.cxf._LARGEST_BYTES", 1_000_000)
    path = tmp_path / "cards.cxf"
    path.write_bytes(b" " * 1_000_001)
    with pytest.raises(LiveryError, match="is larger than 1 MB"):
        read_cards(path)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            _whole(_object("x", "<ColorSRGB><R>1</R><G>2</G><B>3</B></ColorSRGB>")),
            "has no measured colours, only ColorSRGB",
        ),
        (_whole(_object("x")), "has no measured colours"),
        (_whole(_object("x", _lab("D50/2", "nan"))), 'not numbers: "nan 0 0"'),
        (_whole(_object("x", _lab("D50/2", 300))), r"L\* is 300; it runs from 0 to 100"),
        (_whole(_object("x", _lab("D50/2", ""))), "not numbers"),
        (_whole(_object("x", _spectrum(numbers="0,1 0,2"))), 'not numbers: "0,1 0,2"'),
        (_whole(_object("x", _spectrum(numbers=""))), "a colour without numbers"),
        (_whole(_object("x", _spectrum(numbers="inf 0.1"))), "not numbers"),
        (_whole(_object("x", _spectrum(numbers="-9 0.1"))), "-9 is negative"),
        (
            _whole(_object("x", _spectrum()), _object("y", _spectrum(numbers="0.1 0.2"))),
            "spectra at different wavelengths",
        ),
        (
            _whole(
                _object("x", _spectrum(more=' StartWL="400"')),
                _object("y", _spectrum(more=' StartWL="380"')),
            ),
            "spectra at different wavelengths",
        ),
        (
            _whole(_object("x", _spectrum()), grid='<WavelengthRange StartWL="violet"/>'),
            "a wavelength that is not a number",
        ),
        (
            _whole(
                _object("x", _spectrum()), grid='<WavelengthRange StartWL="400" Increment="0"/>'
            ),
            "a wavelength that is not a number above 0",
        ),
        (
            _whole(
                _object("x", _spectrum()), grid='<WavelengthRange StartWL="400" Increment="7"/>'
            ),
            "not evenly spaced at 1, 5, 10 or 20 nm",
        ),
        (
            _whole(_object("x", _spectrum(numbers="0.1 0.2"))),
            "leaves out light the eye sees",
        ),
        (_whole(_object("x", _lab("D50/2", 3))).replace("D50<", "D51<"), 'illuminant "D51"'),
    ],
)
def test_faults_in_whole_files(tmp_path, text, message):
    with pytest.raises(LiveryError, match=message):
        read_cards(_file(tmp_path, "cards.cxf", text))
