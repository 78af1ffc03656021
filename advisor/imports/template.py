"""Our own layout for readings, to download, fill in and paste back."""

#: CSV with two invented rows: one gives CCT with Duv, the other x, y.
TEMPLATE = """\
name,kind,cct,duv,x,y,lux,note
Window left,daylight,6450,0.0042,,,880,Invented example: put your own reading here
Desk lamp,tungsten,,,0.4502,0.4095,120,Invented example: x and y instead of cct and duv
"""
