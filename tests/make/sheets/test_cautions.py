from livery.make.sheets.cautions import (
    BY_PROCESS,
    HARDENER,
    RUBBING_DOWN,
    SHEET_DECIDES,
    work_cautions,
)
from livery.process import Process


def test_every_process_has_its_caution():
    assert set(BY_PROCESS) == set(Process)


def test_cautions_come_in_one_order_and_end_with_the_safety_sheet():
    reported = work_cautions([Process.CUT_FILM, Process.SPRAY], hardener=True, rubbing_down=True)
    assert reported == (
        BY_PROCESS[Process.SPRAY],
        BY_PROCESS[Process.CUT_FILM],
        HARDENER,
        RUBBING_DOWN,
        SHEET_DECIDES,
    )
    assert "isocyanates" in HARDENER
    assert "lead" in RUBBING_DOWN


def test_no_work_needs_no_caution():
    assert work_cautions([]) == ()
