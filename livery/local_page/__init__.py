"""The local page: a job shown, examined and changed in a browser, with the same engine.

``open_job`` keeps the job and answers for it; ``answer``, ``figures``, ``settings`` and ``steps``
say in plain data what there is to see; ``server`` and ``guard`` hand that to the page alone;
``parts`` is the page itself.  Nothing below knows of it.
"""
