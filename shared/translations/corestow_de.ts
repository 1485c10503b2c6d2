<?xml version="1.0" encoding="utf-8"?>
<!DOCTYPE TS>
<TS version="2.1" language="de_DE">
<context>
    <name>AboutDialog</name>
    <message>
        <location filename="../../app/qt/about.py" line="18"/>
        <source>About Corestow</source>
        <translation>Über Corestow</translation>
    </message>
    <message>
        <location filename="../../app/qt/about.py" line="20"/>
        <source>Corestow {0} plans builds of binder-jet printed sand cores.</source>
        <translation>Corestow {0} plant Bauten von Sandkernen aus dem Binder-Jetting.</translation>
    </message>
    <message>
        <location filename="../../app/qt/about.py" line="22"/>
        <source>Its figures are estimates. Silica dust, alkaline binder, microwaves, heavy loads, and moisture under molten metal are hazards: local codes and licensed practice come first.</source>
        <translation>Seine Zahlen sind Schätzungen. Quarzstaub, alkalischer Binder, Mikrowellen, schwere Lasten und Feuchte unter Schmelze sind Gefahren: örtliche Vorschriften und zugelassene Fachpraxis gehen vor.</translation>
    </message>
    <message>
        <location filename="../../app/qt/about.py" line="30"/>
        <source>Licences</source>
        <translation>Lizenzen</translation>
    </message>
</context>
<context>
    <name>BoxBench</name>
    <message>
        <location filename="../../app/qt/box_bench.py" line="68"/>
        <source>&amp;Nest</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/box_bench.py" line="70"/>
        <source>&amp;Move cores by hand</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/box_bench.py" line="71"/>
        <source>M&amp;easure</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/box_bench.py" line="72"/>
        <source>Play the &amp;unpacking</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/box_bench.py" line="74"/>
        <source>&amp;Turn the core</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/box_bench.py" line="75"/>
        <source>&amp;Lock or free the core</source>
        <translation type="unfinished"></translation>
    </message>
</context>
<context>
    <name>BoxNesting</name>
    <message>
        <location filename="../../app/qt/box_nesting.py" line="97"/>
        <source>The search found nothing lower than the packing there is; it stays.</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/box_nesting.py" line="110"/>
        <source>The search was stopped before it had a whole packing; the last one stays.</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/box_nesting.py" line="124"/>
        <source>The job was changed while it was nested; the packing found was not kept.</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/box_nesting.py" line="129"/>
        <source>nesting</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/box_nesting.py" line="142"/>
        <source>seed of the search</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/box_nesting.py" line="142"/>
        <source>effort of the search</source>
        <translation type="unfinished"></translation>
    </message>
</context>
<context>
    <name>BoxPage</name>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="32"/>
        <location filename="../../app/qt/pages/box_page.py" line="48"/>
        <source>Box and gaps</source>
        <translation>Kasten und Abstände</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="32"/>
        <source>Rule</source>
        <translation>Vorgabe</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="32"/>
        <source>Value</source>
        <translation>Wert</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="32"/>
        <source>Stated by</source>
        <translation>Angegeben von</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="35"/>
        <location filename="../../app/qt/pages/box_page.py" line="49"/>
        <location filename="../../app/qt/pages/box_page.py" line="125"/>
        <source>Placements</source>
        <translation>Lagen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="37"/>
        <source>Core</source>
        <translation>Kern</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="38"/>
        <source>Copy</source>
        <translation>Stück</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="39"/>
        <source>Casting</source>
        <translation>Guss</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="40"/>
        <source>Lies</source>
        <translation>Liegt</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="41"/>
        <source>Placed by</source>
        <translation>Gelegt von</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="42"/>
        <source>Lock</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="47"/>
        <source>Packing search</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="80"/>
        <source>Gap between cores</source>
        <translation>Abstand der Kerne</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="82"/>
        <source>Margin to the walls</source>
        <translation>Abstand zu den Wänden</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="83"/>
        <source>Margin to the floor</source>
        <translation>Abstand zum Boden</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="84"/>
        <source>Margin to the top</source>
        <translation>Abstand nach oben</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="90"/>
        <source>Inner length (x)</source>
        <translation>Innere Länge (x)</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="90"/>
        <source>Inner width (y)</source>
        <translation>Innere Breite (y)</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="90"/>
        <source>Inner height (z)</source>
        <translation>Innere Höhe (z)</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="96"/>
        <source>Witness bars in each box</source>
        <translation>Prüfstäbe je Kasten</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="97"/>
        <source>Accuracy coupons in each box</source>
        <translation>Maßproben je Kasten</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="102"/>
        <location filename="../../app/qt/pages/box_page.py" line="106"/>
        <source>the job</source>
        <translation>Auftrag</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="106"/>
        <source>the profile</source>
        <translation>Profil</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="111"/>
        <source>The profile has {0}; Delete takes it.</source>
        <translation>Im Profil steht {0}; Entf übernimmt es.</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="135"/>
        <source>hand</source>
        <translation>Hand</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="135"/>
        <source>search</source>
        <translation>Suche</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="136"/>
        <source>locked</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="141"/>
        <source>Placements in box {0}: {1} cores, {2} high</source>
        <translation>Lagen in Kasten {0}: {1} Kerne, {2} hoch</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="161"/>
        <source>{0} down</source>
        <translation>{0} nach unten</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="162"/>
        <source>{0} down, turned {1}°</source>
        <translation>{0} nach unten, gedreht um {1}°</translation>
    </message>
</context>
<context>
    <name>BoxTools</name>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="39"/>
        <source>Look</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="39"/>
        <source>Turn the box and choose cores (Escape)</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="40"/>
        <source>Move cores</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="40"/>
        <source>Move and turn cores by hand (M)</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="41"/>
        <source>Measure</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="41"/>
        <source>Measure between two places (D)</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="42"/>
        <source>Unpack</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="42"/>
        <source>Play how the box is unpacked (U)</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="47"/>
        <source>Step</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="49"/>
        <source>How far an arrow key moves the core; with Shift a tenth of it</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="52"/>
        <source>Turn</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="54"/>
        <source>Next allowed orientation that is clear here (R)</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="61"/>
        <source>A locked core stays where it is when the rest is nested (L)</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="85"/>
        <source>Tools of the box view</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="101"/>
        <location filename="../../app/qt/views/box_tools.py" line="119"/>
        <source>Choose a core: its gap is shown, and it can be moved.</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="102"/>
        <source>Click a place on a core, then a second one.</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="116"/>
        <source>Set free</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="116"/>
        <source>Lock</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="127"/>
        <source>Locked.</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="129"/>
        <source>No other core near.</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="132"/>
        <source>Overlaps {0} {1}.</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="136"/>
        <source>Gap {0} mm to {1} {2} ({3} mm asked for).</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="144"/>
        <source>{0}: {1} mm ({2} mm asked for).</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="156"/>
        <source>Left wall</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="157"/>
        <source>Right wall</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="158"/>
        <source>Front wall</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="159"/>
        <source>Back wall</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="160"/>
        <source>Floor</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="161"/>
        <source>Top of the box</source>
        <translation type="unfinished"></translation>
    </message>
</context>
<context>
    <name>BoxView</name>
    <message>
        <location filename="../../app/qt/views/box_view.py" line="78"/>
        <source>Box with its cores in 3D</source>
        <translation>Kasten mit seinen Kernen in 3D</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_view.py" line="197"/>
        <source>Click: choose a core. Left drag: turn. Right or middle drag: move. Wheel: zoom. Double click or Home: whole box. M: move cores. D: measure.</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_view.py" line="201"/>
        <source>Drag a core to move it, with Shift up and down. Arrow keys, Page Up and Page Down move the chosen core, with Shift in fine steps. R: turn. L: lock. Escape: look.</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_view.py" line="204"/>
        <source>Click two places on the cores: their distance is shown. Escape: look.</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_view.py" line="268"/>
        <source>Open a job, or drop a job file or the mesh files of cores here.</source>
        <translation>Öffnen Sie einen Auftrag, oder ziehen Sie eine Auftragsdatei oder die Netzdateien von Kernen hierher.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_view.py" line="266"/>
        <source>3D needs OpenGL, which this computer does not offer.</source>
        <translation>3D braucht OpenGL; dieser Rechner bietet es nicht.</translation>
    </message>
</context>
<context>
    <name>ComparePage</name>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="50"/>
        <source>Keep this plan</source>
        <translation>Diesen Plan merken</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="51"/>
        <source>Lay the plan shown beside the others.</source>
        <translation>Den gezeigten Plan neben die anderen legen.</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="53"/>
        <source>Add a plan file…</source>
        <translation>Plandatei hinzufügen …</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="55"/>
        <source>Clear</source>
        <translation>Leeren</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="56"/>
        <source>Clear the comparison</source>
        <translation>Vergleich leeren</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="64"/>
        <source>Plans side by side</source>
        <translation>Pläne nebeneinander</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="83"/>
        <source>Printed area over height of all plans</source>
        <translation>Druckfläche über der Höhe aller Pläne</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="84"/>
        <source>printed area, cm²</source>
        <translation>Druckfläche, cm²</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="84"/>
        <source>height, mm</source>
        <translation>Höhe, mm</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="98"/>
        <source>Add a plan</source>
        <translation>Plan hinzufügen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="98"/>
        <source>Plans (plan.json);;All files (*)</source>
        <translation>Pläne (plan.json);;Alle Dateien (*)</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="135"/>
        <location filename="../../app/qt/pages/compare_page.py" line="155"/>
        <source>Figure</source>
        <translation>Größe</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="137"/>
        <source>Keep a plan, change the job, plan again and keep that too; or add plan files.</source>
        <translation>Merken Sie einen Plan, ändern Sie den Auftrag, planen Sie neu und merken Sie auch diesen; oder fügen Sie Plandateien hinzu.</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="170"/>
        <source>Height of the beds</source>
        <translation>Höhe der Betten</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="171"/>
        <source>Core in the bed</source>
        <translation>Kern im Bett</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="172"/>
        <source>Cost of a casting set</source>
        <translation>Kosten eines Gusssatzes</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="173"/>
        <source>Unpacking and finishing</source>
        <translation>Auspacken und Nacharbeit</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="174"/>
        <source>Pieces over the hand limit</source>
        <translation>Stücke über der Handgrenze</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="175"/>
        <source>Findings: stop</source>
        <translation>Befunde: Stopp</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="176"/>
        <source>Findings: check</source>
        <translation>Befunde: Prüfen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="191"/>
        <source>best: {0}</source>
        <translation>am besten: {0}</translation>
    </message>
</context>
<context>
    <name>CoresPage</name>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="28"/>
        <location filename="../../app/qt/pages/cores_page.py" line="46"/>
        <source>Casting sets</source>
        <translation>Gusssätze</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="29"/>
        <source>Casting set</source>
        <translation>Gusssatz</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="29"/>
        <source>Castings</source>
        <translation>Güsse</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="29"/>
        <source>Cores in one</source>
        <translation>Kerne für einen Guss</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="34"/>
        <location filename="../../app/qt/pages/cores_page.py" line="53"/>
        <source>Cores</source>
        <translation>Kerne</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="36"/>
        <source>Core</source>
        <translation>Kern</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="37"/>
        <source>Copies</source>
        <translation>Stück</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="38"/>
        <location filename="../../app/qt/pages/cores_page.py" line="97"/>
        <source>Spares</source>
        <translation>Ersatz</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="39"/>
        <location filename="../../app/qt/pages/cores_page.py" line="102"/>
        <source>Own gap</source>
        <translation>Eigener Abstand</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="40"/>
        <location filename="../../app/qt/pages/cores_page.py" line="107"/>
        <source>May lie</source>
        <translation>Darf liegen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="41"/>
        <source>Mass</source>
        <translation>Masse</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="42"/>
        <source>Cost each</source>
        <translation>Kosten je Stück</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="48"/>
        <location filename="../../app/qt/pages/cores_page.py" line="52"/>
        <location filename="../../app/qt/pages/cores_page.py" line="147"/>
        <source>Alloy poured</source>
        <translation>Vergossene Legierung</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="87"/>
        <source>Castings of {0}</source>
        <translation>Güsse von {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="98"/>
        <source>Spares of {0}</source>
        <translation>Ersatz von {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="103"/>
        <source>Gap of {0}</source>
        <translation>Abstand von {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="108"/>
        <source>Orientations of {0}</source>
        <translation>Ausrichtungen von {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="128"/>
        <source>{0} mm, {1}, {2} triangles</source>
        <translation>{0} mm, {1}, {2} Dreiecke</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="135"/>
        <source>not stated</source>
        <translation>nicht angegeben</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="136"/>
        <source>aluminium alloy</source>
        <translation>Aluminiumlegierung</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="137"/>
        <source>magnesium alloy</source>
        <translation>Magnesiumlegierung</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="138"/>
        <source>copper alloy</source>
        <translation>Kupferlegierung</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="139"/>
        <source>zinc alloy</source>
        <translation>Zinklegierung</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="140"/>
        <source>cast iron</source>
        <translation>Gusseisen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="141"/>
        <source>cast steel</source>
        <translation>Stahlguss</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="142"/>
        <source>another alloy</source>
        <translation>andere Legierung</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="151"/>
        <source>any right angle</source>
        <translation>jeder rechte Winkel</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="152"/>
        <source>as modelled, turned</source>
        <translation>wie modelliert, gedreht</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="153"/>
        <source>as modelled</source>
        <translation>wie modelliert</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="156"/>
        <source>on stated faces</source>
        <translation>auf angegebenen Flächen</translation>
    </message>
</context>
<context>
    <name>Desk</name>
    <message>
        <location filename="../../app/qt/desk.py" line="91"/>
        <source>Findings</source>
        <translation>Befunde</translation>
    </message>
    <message>
        <location filename="../../app/qt/desk.py" line="94"/>
        <source>Findings: {0}</source>
        <translation>Befunde: {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/desk.py" line="94"/>
        <source>none</source>
        <translation>keine</translation>
    </message>
    <message>
        <location filename="../../app/qt/desk.py" line="104"/>
        <source>No plan yet</source>
        <translation>Noch kein Plan</translation>
    </message>
    <message>
        <location filename="../../app/qt/desk.py" line="154"/>
        <source>Layer {0} of {1} · {2} mm above the floor</source>
        <translation>Schicht {0} von {1} · {2} mm über dem Boden</translation>
    </message>
</context>
<context>
    <name>FindingsModel</name>
    <message>
        <location filename="../../app/qt/models/findings_model.py" line="70"/>
        <source>Stop</source>
        <translation>Stopp</translation>
    </message>
    <message>
        <location filename="../../app/qt/models/findings_model.py" line="70"/>
        <source>Check</source>
        <translation>Prüfen</translation>
    </message>
    <message>
        <location filename="../../app/qt/models/findings_model.py" line="70"/>
        <source>Note</source>
        <translation>Hinweis</translation>
    </message>
    <message>
        <location filename="../../app/qt/models/findings_model.py" line="78"/>
        <source>box {0}</source>
        <translation>Kasten {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/models/findings_model.py" line="82"/>
        <source>layer {0}</source>
        <translation>Schicht {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/models/findings_model.py" line="84"/>
        <source>layers {0} to {1}</source>
        <translation>Schichten {0} bis {1}</translation>
    </message>
</context>
<context>
    <name>FindingsView</name>
    <message>
        <location filename="../../app/qt/views/findings_view.py" line="76"/>
        <source>Findings</source>
        <translation>Befunde</translation>
    </message>
</context>
<context>
    <name>HandPlacing</name>
    <message>
        <location filename="../../app/qt/hand_placing.py" line="151"/>
        <source>lock a core</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/hand_placing.py" line="151"/>
        <source>free a core</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/hand_placing.py" line="163"/>
        <source>This core is locked where it is; L sets it free.</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/hand_placing.py" line="169"/>
        <source>The job has changed since its plan; plan it (F5), then move cores.</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/hand_placing.py" line="171"/>
        <source>Choose a core first.</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/hand_placing.py" line="236"/>
        <source>move {0} {1}</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/hand_placing.py" line="236"/>
        <source>turn {0} {1}</source>
        <translation type="unfinished"></translation>
    </message>
</context>
<context>
    <name>HeightRule</name>
    <message>
        <location filename="../../app/qt/views/height_rule.py" line="56"/>
        <source>Height rule: layer shown</source>
        <translation>Höhenmaßstab: gezeigte Schicht</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/height_rule.py" line="58"/>
        <source>Drag or click to choose the layer. Arrow keys: one layer; Page keys: ten; Home, End.</source>
        <translation>Ziehen oder klicken wählt die Schicht. Pfeiltasten: eine Schicht; Bildtasten: zehn; Pos1, Ende.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/height_rule.py" line="72"/>
        <source>height, mm</source>
        <translation>Höhe, mm</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/height_rule.py" line="73"/>
        <source>layer</source>
        <translation>Schicht</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/height_rule.py" line="74"/>
        <source>printed area, cm²</source>
        <translation>Druckfläche, cm²</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/height_rule.py" line="98"/>
        <source>no plan</source>
        <translation>kein Plan</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/height_rule.py" line="125"/>
        <source>layer {0} of {1}, {2} mm</source>
        <translation>Schicht {0} von {1}, {2} mm</translation>
    </message>
</context>
<context>
    <name>JobsBench</name>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="41"/>
        <source>&amp;New job from meshes…</source>
        <translation>&amp;Neuer Auftrag aus Netzen …</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="42"/>
        <source>&amp;Open job…</source>
        <translation>Auftrag ö&amp;ffnen …</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="43"/>
        <source>Save &amp;job</source>
        <translation>Auftrag &amp;speichern</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="44"/>
        <source>Open &amp;recent</source>
        <translation>&amp;Zuletzt geöffnet</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="67"/>
        <source>Open job</source>
        <translation>Auftrag öffnen</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="67"/>
        <source>Jobs (*.json);;All files (*)</source>
        <translation>Aufträge (*.json);;Alle Dateien (*)</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="75"/>
        <source>A plan is being made; stop it before another job is opened.</source>
        <translation>Ein Plan wird gerade gemacht; halten Sie ihn an, bevor Sie einen anderen Auftrag öffnen.</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="91"/>
        <source>This job is open in another window; what is saved last stays.</source>
        <translation>Dieser Auftrag ist in einem anderen Fenster offen; was zuletzt gespeichert wird, bleibt.</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="98"/>
        <source>Changes were recovered</source>
        <translation>Änderungen wurden wiedergefunden</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="99"/>
        <source>Corestow ended before changes to this job were saved. Take them up again?</source>
        <translation>Corestow endete, bevor Änderungen an diesem Auftrag gespeichert waren. Wieder aufnehmen?</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="102"/>
        <source>recovered changes</source>
        <translation>wiedergefundene Änderungen</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="119"/>
        <source>Cores of the new job</source>
        <translation>Kerne des neuen Auftrags</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="119"/>
        <source>Meshes ({0})</source>
        <translation>Netze ({0})</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="151"/>
        <source>Changes are not saved</source>
        <translation>Änderungen sind nicht gespeichert</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="152"/>
        <source>The job has changes that are not saved. Save them?</source>
        <translation>Der Auftrag hat Änderungen, die nicht gespeichert sind. Speichern?</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="176"/>
        <source>No job was opened yet</source>
        <translation>Noch wurde kein Auftrag geöffnet</translation>
    </message>
</context>
<context>
    <name>KeyFigures</name>
    <message>
        <location filename="../../app/qt/views/key_figures.py" line="26"/>
        <source>Boxes</source>
        <translation>Kästen</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/key_figures.py" line="27"/>
        <source>Cores</source>
        <translation>Kerne</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/key_figures.py" line="28"/>
        <source>Layers</source>
        <translation>Schichten</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/key_figures.py" line="29"/>
        <source>Build time</source>
        <translation>Bauzeit</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/key_figures.py" line="30"/>
        <source>Binder</source>
        <translation>Binder</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/key_figures.py" line="31"/>
        <source>Bed sand</source>
        <translation>Sand im Bett</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/key_figures.py" line="32"/>
        <source>Cost</source>
        <translation>Kosten</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/key_figures.py" line="47"/>
        <source>The job has changed since this plan: plan again (F5).</source>
        <translation>Der Auftrag hat sich seit diesem Plan geändert: neu planen (F5).</translation>
    </message>
</context>
<context>
    <name>LayerView</name>
    <message>
        <location filename="../../app/qt/views/layer_view.py" line="25"/>
        <source>Layer from above</source>
        <translation>Schicht von oben</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/layer_view.py" line="26"/>
        <source>Wheel: zoom. Drag: move. Double click or Home: the whole box.</source>
        <translation>Rad: zoomen. Ziehen: verschieben. Doppelklick oder Pos1: ganzer Kasten.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/layer_view.py" line="33"/>
        <source>y, mm</source>
        <translation>y, mm</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/layer_view.py" line="34"/>
        <source>x, mm</source>
        <translation>x, mm</translation>
    </message>
</context>
<context>
    <name>LayersPage</name>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="29"/>
        <source>No plan yet</source>
        <translation>Noch kein Plan</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="32"/>
        <source>Printed area {0} cm² · outline {1} m · binder {2} · time {3}</source>
        <translation>Druckfläche {0} cm² · Umriss {1} m · Binder {2} · Zeit {3}</translation>
    </message>
</context>
<context>
    <name>LiftDialog</name>
    <message>
        <location filename="../../app/qt/stops_bench.py" line="34"/>
        <source>Lift a stop</source>
        <translation>Einen Halt aufheben</translation>
    </message>
    <message>
        <location filename="../../app/qt/stops_bench.py" line="40"/>
        <source>Whoever lifts this stop answers for it. Name and reason stand in the job and on every sheet from now on. Local codes and licensed practice come first; this program can&apos;t judge whether the work is without danger.</source>
        <translation>Wer diesen Halt aufhebt, verantwortet ihn. Name und Grund stehen von jetzt an im Auftrag und auf jedem Blatt. Örtliche Vorschriften und befugte Fachleute gehen vor; dieses Programm kann nicht beurteilen, ob die Arbeit ohne Gefahr ist.</translation>
    </message>
    <message>
        <location filename="../../app/qt/stops_bench.py" line="47"/>
        <source>Name</source>
        <translation>Name</translation>
    </message>
    <message>
        <location filename="../../app/qt/stops_bench.py" line="50"/>
        <source>Reason</source>
        <translation>Grund</translation>
    </message>
    <message>
        <location filename="../../app/qt/stops_bench.py" line="53"/>
        <source>&amp;Name</source>
        <translation>&amp;Name</translation>
    </message>
    <message>
        <location filename="../../app/qt/stops_bench.py" line="54"/>
        <source>&amp;Reason</source>
        <translation>&amp;Grund</translation>
    </message>
    <message>
        <location filename="../../app/qt/stops_bench.py" line="57"/>
        <source>&amp;Lift the stop</source>
        <translation>Halt auf&amp;heben</translation>
    </message>
</context>
<context>
    <name>MainWindow</name>
    <message>
        <location filename="../../app/qt/main_window.py" line="104"/>
        <source>Box shown</source>
        <translation>Gezeigter Kasten</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="108"/>
        <source>&amp;Plan</source>
        <translation>&amp;Planen</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="109"/>
        <source>&amp;Stop</source>
        <translation>S&amp;topp</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="111"/>
        <source>&amp;Quit</source>
        <translation>B&amp;eenden</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="113"/>
        <source>&amp;Undo</source>
        <translation>&amp;Rückgängig</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="115"/>
        <source>&amp;Redo</source>
        <translation>&amp;Wiederholen</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="132"/>
        <source>&amp;Job</source>
        <translation>&amp;Auftrag</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="137"/>
        <source>&amp;Edit</source>
        <translation>&amp;Bearbeiten</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="138"/>
        <source>&amp;Box</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="139"/>
        <source>&amp;View</source>
        <translation>A&amp;nsicht</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="129"/>
        <source>&amp;About and licences</source>
        <translation>&amp;Über Corestow und Lizenzen</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="140"/>
        <source>&amp;Help</source>
        <translation>&amp;Hilfe</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="146"/>
        <source>Work</source>
        <translation>Arbeit</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="154"/>
        <location filename="../../app/qt/main_window.py" line="165"/>
        <source>Box</source>
        <translation>Kasten</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="163"/>
        <source>Pages</source>
        <translation>Seiten</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="164"/>
        <source>Cores</source>
        <translation>Kerne</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="166"/>
        <source>Layers</source>
        <translation>Schichten</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="167"/>
        <source>Process</source>
        <translation>Prozess</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="168"/>
        <source>Time and cost</source>
        <translation>Zeit und Kosten</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="169"/>
        <source>Compare</source>
        <translation>Vergleich</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="207"/>
        <source>The work was stopped.</source>
        <translation>Die Arbeit wurde angehalten.</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="232"/>
        <source>Something went wrong ({0}); see the log {1}.</source>
        <translation>Etwas ging schief ({0}); siehe das Protokoll {1}.</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="237"/>
        <source>An internal fault was written to the log {0}.</source>
        <translation>Ein interner Fehler steht im Protokoll {0}.</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="290"/>
        <source>{0} of {1} ({2} cores)</source>
        <translation>{0} von {1} ({2} Kerne)</translation>
    </message>
</context>
<context>
    <name>MeasuredPlaces</name>
    <message>
        <location filename="../../app/qt/measured.py" line="81"/>
        <source>Click a place on a core, then a second one.</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/measured.py" line="84"/>
        <source>Place x {0}, y {1}, z {2} mm. Click a second one.</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/measured.py" line="86"/>
        <source>Distance {0}: Δx {1}, Δy {2}, Δz {3} mm</source>
        <translation type="unfinished"></translation>
    </message>
</context>
<context>
    <name>NestStrip</name>
    <message>
        <location filename="../../app/qt/views/nest_strip.py" line="28"/>
        <source>Nest</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nest_strip.py" line="29"/>
        <source>Search a lower packing; locked cores stay where they are (F6)</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nest_strip.py" line="30"/>
        <source>Stop and keep the best</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nest_strip.py" line="33"/>
        <source>Time for the search</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nest_strip.py" line="35"/>
        <source>0: the effort counts, and the result repeats on any computer</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nest_strip.py" line="36"/>
        <location filename="../../app/qt/views/nest_strip.py" line="61"/>
        <source>Seed</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nest_strip.py" line="37"/>
        <location filename="../../app/qt/views/nest_strip.py" line="62"/>
        <source>Effort</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nest_strip.py" line="38"/>
        <source>million places tried</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nest_strip.py" line="44"/>
        <source>Boxes so far</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nest_strip.py" line="60"/>
        <source>At most</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nest_strip.py" line="88"/>
        <source>Searching…</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nest_strip.py" line="96"/>
        <source>Box {0}: {1} cores, {2} mm high, {3} % full; none can be lower than {4} mm</source>
        <translation type="unfinished"></translation>
    </message>
</context>
<context>
    <name>NewJob</name>
    <message>
        <location filename="../../app/qt/new_job.py" line="45"/>
        <source>Length unit of the meshes</source>
        <translation>Längeneinheit der Netze</translation>
    </message>
    <message>
        <location filename="../../app/qt/new_job.py" line="46"/>
        <source>The files do not say their length unit. It is:</source>
        <translation>Die Dateien nennen ihre Längeneinheit nicht. Sie ist:</translation>
    </message>
    <message>
        <location filename="../../app/qt/new_job.py" line="55"/>
        <source>Save the new job as</source>
        <translation>Neuen Auftrag speichern unter</translation>
    </message>
    <message>
        <location filename="../../app/qt/new_job.py" line="57"/>
        <source>Jobs (*.json)</source>
        <translation>Aufträge (*.json)</translation>
    </message>
</context>
<context>
    <name>NoticeStrip</name>
    <message>
        <location filename="../../app/qt/views/notice_strip.py" line="35"/>
        <source>Close</source>
        <translation>Schließen</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/notice_strip.py" line="36"/>
        <source>Close this notice</source>
        <translation>Diese Meldung schließen</translation>
    </message>
</context>
<context>
    <name>PageStrip</name>
    <message>
        <location filename="../../app/qt/page_strip.py" line="28"/>
        <source>Pages</source>
        <translation>Seiten</translation>
    </message>
</context>
<context>
    <name>Preview</name>
    <message>
        <location filename="../../app/qt/preview.py" line="45"/>
        <source>Sheets before printing</source>
        <translation>Blätter vor dem Drucken</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="58"/>
        <source>Sheet</source>
        <translation>Blatt</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="62"/>
        <source>Paper</source>
        <translation>Papier</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="65"/>
        <source>Page</source>
        <translation>Seite</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="73"/>
        <source>Progress of the preview</source>
        <translation>Fortschritt der Vorschau</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="76"/>
        <source>S&amp;maller</source>
        <translation>&amp;Kleiner</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="77"/>
        <source>&amp;Larger</source>
        <translation>&amp;Größer</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="78"/>
        <source>&amp;Print…</source>
        <translation>&amp;Drucken…</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="79"/>
        <source>&amp;Save as PDF…</source>
        <translation>Als &amp;PDF speichern…</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="80"/>
        <source>&amp;Close</source>
        <translation>S&amp;chließen</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="88"/>
        <source>S&amp;heet</source>
        <translation>&amp;Blatt</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="89"/>
        <source>Pape&amp;r</source>
        <translation>Papie&amp;r</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="90"/>
        <source>Pa&amp;ge</source>
        <translation>S&amp;eite</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="143"/>
        <source>Save the sheet</source>
        <translation>Blatt speichern</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="143"/>
        <source>PDF (*.pdf)</source>
        <translation>PDF (*.pdf)</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="154"/>
        <source>Saved: {0}</source>
        <translation>Gespeichert: {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="191"/>
        <source> of {0}</source>
        <translation> von {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="204"/>
        <source>The printer takes no pages: check it, or save the sheet as PDF.</source>
        <translation>Der Drucker nimmt keine Seiten an: Drucker prüfen oder das Blatt als PDF speichern.</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="212"/>
        <source>{0} pages were sent to the printer.</source>
        <translation>{0} Seiten gingen an den Drucker.</translation>
    </message>
</context>
<context>
    <name>ProcessPage</name>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="33"/>
        <location filename="../../app/qt/pages/process_page.py" line="34"/>
        <source>Find a value</source>
        <translation>Wert suchen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="39"/>
        <source>Profile values</source>
        <translation>Profilwerte</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="40"/>
        <source>Value</source>
        <translation>Wert</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="40"/>
        <source>Evidence</source>
        <translation>Beleg</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="40"/>
        <source>Profile value</source>
        <translation>Profilwert</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="96"/>
        <source>allowed: {0}</source>
        <translation>erlaubt: {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="98"/>
        <source>source: {0}</source>
        <translation>Quelle: {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="101"/>
        <source>the profile has {0}; Delete takes it</source>
        <translation>im Profil steht {0}; Entf übernimmt es</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="103"/>
        <source>changed</source>
        <translation>geändert</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="126"/>
        <source>Process</source>
        <translation>Prozess</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="127"/>
        <source>Machine</source>
        <translation>Maschine</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="128"/>
        <source>Print head</source>
        <translation>Druckkopf</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="129"/>
        <source>Sand</source>
        <translation>Sand</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="130"/>
        <source>Additive</source>
        <translation>Zusatz</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="131"/>
        <source>Binder</source>
        <translation>Binder</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="132"/>
        <source>Oven</source>
        <translation>Ofen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="133"/>
        <source>Rates</source>
        <translation>Sätze</translation>
    </message>
</context>
<context>
    <name>SheetsBench</name>
    <message>
        <location filename="../../app/qt/sheets_bench.py" line="29"/>
        <source>P&amp;rint sheets…</source>
        <translation>Blätter &amp;drucken…</translation>
    </message>
    <message>
        <location filename="../../app/qt/sheets_bench.py" line="32"/>
        <source>&amp;Write sheets…</source>
        <translation>Blätter &amp;schreiben…</translation>
    </message>
    <message>
        <location filename="../../app/qt/sheets_bench.py" line="57"/>
        <source>Folder for the sheets</source>
        <translation>Ordner für die Blätter</translation>
    </message>
    <message>
        <location filename="../../app/qt/sheets_bench.py" line="68"/>
        <source>{0} files are in {1}</source>
        <translation>{0} Dateien liegen in {1}</translation>
    </message>
</context>
<context>
    <name>Steps</name>
    <message>
        <location filename="../../app/qt/step_words.py" line="12"/>
        <source>Reading cores</source>
        <translation>Kerne lesen</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="13"/>
        <location filename="../../app/qt/step_words.py" line="14"/>
        <source>Packing</source>
        <translation>Packen</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="15"/>
        <source>Settling the packing</source>
        <translation>Packung setzen</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="16"/>
        <source>Layers</source>
        <translation>Schichten</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="17"/>
        <source>Quantities, time and cost</source>
        <translation>Mengen, Zeit und Kosten</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="18"/>
        <source>Plan sheet</source>
        <translation>Planblatt</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="19"/>
        <source>Summary</source>
        <translation>Zusammenfassung</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="20"/>
        <source>Process sheet</source>
        <translation>Verfahrensblatt</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="21"/>
        <source>Pages</source>
        <translation>Seiten</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="22"/>
        <source>Labels</source>
        <translation>Etiketten</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="23"/>
        <source>Box cards</source>
        <translation>Kastenkarten</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="24"/>
        <source>Workbook</source>
        <translation>Arbeitsmappe</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="25"/>
        <source>Tables</source>
        <translation>Tabellen</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="26"/>
        <source>Models of the boxes</source>
        <translation>Modelle der Kästen</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="27"/>
        <source>Models of the cores</source>
        <translation>Modelle der Kerne</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="28"/>
        <source>Layer drawings</source>
        <translation>Schichtzeichnungen</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="29"/>
        <source>Done</source>
        <translation>Fertig</translation>
    </message>
</context>
<context>
    <name>StopsBench</name>
    <message>
        <location filename="../../app/qt/stops_bench.py" line="87"/>
        <source>&amp;Lift the stop…</source>
        <translation>&amp;Halt aufheben…</translation>
    </message>
    <message>
        <location filename="../../app/qt/stops_bench.py" line="90"/>
        <source>&amp;Put the stop in force again</source>
        <translation>Halt wieder in &amp;Kraft setzen</translation>
    </message>
    <message>
        <location filename="../../app/qt/stops_bench.py" line="113"/>
        <source>stop in force again</source>
        <translation>Halt wieder in Kraft</translation>
    </message>
    <message>
        <location filename="../../app/qt/stops_bench.py" line="120"/>
        <source>stop lifted by {0}</source>
        <translation>Halt aufgehoben von {0}</translation>
    </message>
</context>
<context>
    <name>SummaryView</name>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="39"/>
        <source>Figure</source>
        <translation>Größe</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="39"/>
        <source>Value</source>
        <translation>Wert</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="40"/>
        <source>Time and cost</source>
        <translation>Zeit und Kosten</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="53"/>
        <source>The job</source>
        <translation>Der Auftrag</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="56"/>
        <source>Cost by kind</source>
        <translation>Kosten nach Art</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="57"/>
        <source>Time, all boxes</source>
        <translation>Zeit, alle Kästen</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="58"/>
        <source>Sand, binder and additive</source>
        <translation>Sand, Binder und Zusatz</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="59"/>
        <source>Energy</source>
        <translation>Energie</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="78"/>
        <source>Cost without margin</source>
        <translation>Kosten ohne Marge</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="81"/>
        <source>Price</source>
        <translation>Preis</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="89"/>
        <source>Box {0}</source>
        <translation>Kasten {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="104"/>
        <source>Cost of one core</source>
        <translation>Kosten eines Kerns</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="109"/>
        <source>Cost of one casting set</source>
        <translation>Kosten eines Gusssatzes</translation>
    </message>
</context>
<context>
    <name>UnpackingPlayer</name>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="44"/>
        <source>Step back</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="46"/>
        <location filename="../../app/qt/views/unpacking_player.py" line="162"/>
        <source>Play</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="47"/>
        <source>Step on</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="49"/>
        <source>Moment of the unpacking</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="54"/>
        <source>Cautions before unpacking</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="162"/>
        <source>Pause</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="172"/>
        <source>There is no unpacking to play: plan the job first.</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="176"/>
        <source>These can&apos;t be drawn: {0}.</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="183"/>
        <source>Before unpacking: sand up to {0} mm, {1} stages.</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="187"/>
        <source>Stage {0} of {1}:</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="189"/>
        <source>take the sand down to {0} mm.</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="192"/>
        <source>sand at {0} mm; draw {1} straight up.</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="194"/>
        <source>sand at {0} mm; draw {1} at a tilt of {2}°.</source>
        <translation type="unfinished"></translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="197"/>
        <source>It is held by hand until then.</source>
        <translation type="unfinished"></translation>
    </message>
</context>
<context>
    <name>ViewActions</name>
    <message>
        <location filename="../../app/qt/view_actions.py" line="23"/>
        <source>Box from its &amp;corner</source>
        <translation>Kasten von der &amp;Ecke</translation>
    </message>
    <message>
        <location filename="../../app/qt/view_actions.py" line="24"/>
        <source>Box from the &amp;front</source>
        <translation>Kasten von &amp;vorn</translation>
    </message>
    <message>
        <location filename="../../app/qt/view_actions.py" line="25"/>
        <source>Box from the &amp;left</source>
        <translation>Kasten von &amp;links</translation>
    </message>
    <message>
        <location filename="../../app/qt/view_actions.py" line="26"/>
        <source>Box from &amp;above</source>
        <translation>Kasten von &amp;oben</translation>
    </message>
    <message>
        <location filename="../../app/qt/view_actions.py" line="32"/>
        <source>C&amp;ut cores at the layer</source>
        <translation>Kerne an der Schicht sch&amp;neiden</translation>
    </message>
</context>
<context>
    <name>WorkStrip</name>
    <message>
        <location filename="../../app/qt/work_strip.py" line="22"/>
        <source>Progress of the plan</source>
        <translation>Fortschritt des Plans</translation>
    </message>
</context>
</TS>
