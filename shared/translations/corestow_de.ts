<?xml version="1.0" encoding="utf-8"?>
<!DOCTYPE TS>
<TS version="2.1" language="de_DE">
<context>
    <name>AboutDialog</name>
    <message>
        <location filename="../../app/qt/about.py" line="19"/>
        <source>About Corestow</source>
        <translation>Über Corestow</translation>
    </message>
    <message>
        <location filename="../../app/qt/about.py" line="21"/>
        <source>Corestow {0} plans builds of binder-jet printed sand cores.</source>
        <translation>Corestow {0} plant Bauten von Sandkernen aus dem Binder-Jetting.</translation>
    </message>
    <message>
        <location filename="../../app/qt/about.py" line="23"/>
        <source>Its figures are estimates. Silica dust, alkaline binder, microwaves, heavy loads, and moisture under molten metal are hazards: local codes and licensed practice come first.</source>
        <translation>Seine Zahlen sind Schätzungen. Quarzstaub, alkalischer Binder, Mikrowellen, schwere Lasten und Feuchte unter Schmelze sind Gefahren: örtliche Vorschriften und zugelassene Fachpraxis gehen vor.</translation>
    </message>
    <message>
        <location filename="../../app/qt/about.py" line="31"/>
        <source>Licences</source>
        <translation>Lizenzen</translation>
    </message>
</context>
<context>
    <name>BoxBench</name>
    <message>
        <location filename="../../app/qt/box_bench.py" line="68"/>
        <source>&amp;Nest</source>
        <translation>&amp;Packen</translation>
    </message>
    <message>
        <location filename="../../app/qt/box_bench.py" line="70"/>
        <source>&amp;Move cores by hand</source>
        <translation>Kerne von &amp;Hand bewegen</translation>
    </message>
    <message>
        <location filename="../../app/qt/box_bench.py" line="71"/>
        <source>M&amp;easure</source>
        <translation>&amp;Messen</translation>
    </message>
    <message>
        <location filename="../../app/qt/box_bench.py" line="72"/>
        <source>Play the &amp;unpacking</source>
        <translation>&amp;Auspacken abspielen</translation>
    </message>
    <message>
        <location filename="../../app/qt/box_bench.py" line="74"/>
        <source>&amp;Turn the core</source>
        <translation>Kern &amp;drehen</translation>
    </message>
    <message>
        <location filename="../../app/qt/box_bench.py" line="75"/>
        <source>&amp;Lock or free the core</source>
        <translation>Kern &amp;sperren oder freigeben</translation>
    </message>
    <message>
        <location filename="../../app/qt/box_bench.py" line="76"/>
        <source>Move the core to the next &amp;box</source>
        <translation>Kern in den nächsten &amp;Kasten legen</translation>
    </message>
</context>
<context>
    <name>BoxNesting</name>
    <message>
        <location filename="../../app/qt/box_nesting.py" line="97"/>
        <source>The search found nothing lower than the packing there is; it stays.</source>
        <translation>Die Suche fand nichts Niedrigeres als die vorhandene Packung; sie bleibt.</translation>
    </message>
    <message>
        <location filename="../../app/qt/box_nesting.py" line="110"/>
        <source>The search was stopped before it had a whole packing; the last one stays.</source>
        <translation>Die Suche wurde angehalten, bevor sie eine vollständige Packung hatte; die letzte bleibt.</translation>
    </message>
    <message>
        <location filename="../../app/qt/box_nesting.py" line="124"/>
        <source>The job was changed while it was nested; the packing found was not kept.</source>
        <translation>Der Auftrag wurde während des Packens geändert; die gefundene Packung wurde nicht übernommen.</translation>
    </message>
    <message>
        <location filename="../../app/qt/box_nesting.py" line="129"/>
        <source>nesting</source>
        <translation>Packen</translation>
    </message>
    <message>
        <location filename="../../app/qt/box_nesting.py" line="142"/>
        <source>seed of the search</source>
        <translation>Startzahl der Suche</translation>
    </message>
    <message>
        <location filename="../../app/qt/box_nesting.py" line="142"/>
        <source>effort of the search</source>
        <translation>Aufwand der Suche</translation>
    </message>
</context>
<context>
    <name>BoxPage</name>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="35"/>
        <location filename="../../app/qt/pages/box_page.py" line="54"/>
        <source>Box and gaps</source>
        <translation>Kasten und Abstände</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="36"/>
        <source>Rule</source>
        <translation>Vorgabe</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="36"/>
        <source>Value</source>
        <translation>Wert</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="36"/>
        <source>Stated by</source>
        <translation>Angegeben von</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="41"/>
        <location filename="../../app/qt/pages/box_page.py" line="65"/>
        <location filename="../../app/qt/pages/box_page.py" line="166"/>
        <source>Placements</source>
        <translation>Lagen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="43"/>
        <source>Core</source>
        <translation>Kern</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="44"/>
        <source>Copy</source>
        <translation>Stück</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="45"/>
        <source>Casting</source>
        <translation>Guss</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="46"/>
        <source>Lies</source>
        <translation>Liegt</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="47"/>
        <source>Placed by</source>
        <translation>Gelegt von</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="48"/>
        <source>Lock</source>
        <translation>Sperre</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="53"/>
        <source>Packing search</source>
        <translation>Packungssuche</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="55"/>
        <source>New region to keep out of</source>
        <translation>Neuer freizuhaltender Bereich</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="56"/>
        <source>Remove the region</source>
        <translation>Bereich entfernen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="105"/>
        <source>Gap between cores</source>
        <translation>Abstand der Kerne</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="110"/>
        <source>Margin to the walls</source>
        <translation>Abstand zu den Wänden</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="111"/>
        <source>Margin to the floor</source>
        <translation>Abstand zum Boden</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="112"/>
        <source>Margin to the top</source>
        <translation>Abstand nach oben</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="118"/>
        <source>Inner length (x)</source>
        <translation>Innere Länge (x)</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="118"/>
        <source>Inner width (y)</source>
        <translation>Innere Breite (y)</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="118"/>
        <source>Inner height (z)</source>
        <translation>Innere Höhe (z)</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="124"/>
        <source>Witness bars in each box</source>
        <translation>Prüfstäbe je Kasten</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="125"/>
        <source>Accuracy coupons in each box</source>
        <translation>Maßproben je Kasten</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="130"/>
        <location filename="../../app/qt/pages/box_page.py" line="139"/>
        <source>the job</source>
        <translation>Auftrag</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="139"/>
        <source>the profile</source>
        <translation>Profil</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="143"/>
        <source>The profile has {0}.</source>
        <translation>Das Profil hat {0}.</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="145"/>
        <source>Its source: {0}</source>
        <translation>Quelle: {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="147"/>
        <source>Delete takes the profile&apos;s.</source>
        <translation>Entf nimmt den Wert des Profils.</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="179"/>
        <source>hand</source>
        <translation>Hand</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="179"/>
        <source>search</source>
        <translation>Suche</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="180"/>
        <source>locked</source>
        <translation>gesperrt</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="185"/>
        <source>Placements in box {0}: {1} cores, {2} high</source>
        <translation>Lagen in Kasten {0}: {1} Kerne, {2} hoch</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="199"/>
        <source>{0} down</source>
        <translation>{0} nach unten</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="200"/>
        <source>{0} down, turned {1}°</source>
        <translation>{0} nach unten, gedreht um {1}°</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="213"/>
        <source>not stated</source>
        <translation>nicht angegeben</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="214"/>
        <source>new region to keep out of</source>
        <translation>neuer freizuhaltender Bereich</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/box_page.py" line="219"/>
        <source>remove a region</source>
        <translation>Bereich entfernen</translation>
    </message>
</context>
<context>
    <name>BoxTools</name>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="41"/>
        <source>Look</source>
        <translation>Ansehen</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="41"/>
        <source>Turn the box and choose cores (Escape)</source>
        <translation>Den Kasten drehen und Kerne wählen (Escape)</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="42"/>
        <source>Move cores</source>
        <translation>Kerne bewegen</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="42"/>
        <source>Move and turn cores by hand (M)</source>
        <translation>Kerne von Hand bewegen und drehen (M)</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="43"/>
        <source>Measure</source>
        <translation>Messen</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="43"/>
        <source>Measure between two places (D)</source>
        <translation>Zwischen zwei Stellen messen (D)</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="44"/>
        <source>Unpack</source>
        <translation>Auspacken</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="44"/>
        <source>Play how the box is unpacked (U)</source>
        <translation>Abspielen, wie der Kasten ausgepackt wird (U)</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="49"/>
        <source>Step</source>
        <translation>Schritt</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="51"/>
        <source>How far an arrow key moves the core; with Shift a tenth of it</source>
        <translation>Wie weit eine Pfeiltaste den Kern bewegt; mit Umschalt ein Zehntel davon</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="54"/>
        <source>Turn</source>
        <translation>Drehen</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="56"/>
        <source>Next allowed orientation that is clear here (R)</source>
        <translation>Nächste erlaubte Lage, die hier Platz hat (R)</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="63"/>
        <source>A locked core stays where it is when the rest is nested (L)</source>
        <translation>Ein gesperrter Kern bleibt, wo er ist, wenn der Rest gepackt wird (L)</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="66"/>
        <source>To box</source>
        <translation>In Kasten</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="69"/>
        <source>Let the core down into another box, where it comes to lie lowest</source>
        <translation>Den Kern in einen anderen Kasten hinablassen, wo er am tiefsten zu liegen kommt</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="97"/>
        <source>Tools of the box view</source>
        <translation>Werkzeuge der Kastenansicht</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="114"/>
        <location filename="../../app/qt/views/box_tools.py" line="142"/>
        <source>Choose a core: its gap is shown, and it can be moved.</source>
        <translation>Einen Kern wählen: sein Abstand wird gezeigt, und er lässt sich bewegen.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="115"/>
        <source>Click a place on a core, then a second one.</source>
        <translation>Eine Stelle auf einem Kern anklicken, dann eine zweite.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="124"/>
        <source>Box {0}</source>
        <translation>Kasten {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="139"/>
        <source>Set free</source>
        <translation>Freigeben</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="139"/>
        <source>Lock</source>
        <translation>Sperren</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="150"/>
        <source>Locked.</source>
        <translation>Gesperrt.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="152"/>
        <source>No other core near.</source>
        <translation>Kein anderer Kern in der Nähe.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="155"/>
        <source>Gap {0} to the region to keep out of, {1} ({2} asked for).</source>
        <translation>Abstand {0} zum freizuhaltenden Bereich, {1} (verlangt {2}).</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="167"/>
        <source>Gap {0} to {1} {2} ({3} asked for).</source>
        <translation>Abstand {0} zu {1} {2} (verlangt {3}).</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="175"/>
        <source>{0}: {1} ({2} asked for).</source>
        <translation>{0}: {1} (verlangt {2}).</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="163"/>
        <source>Overlaps {0} {1}.</source>
        <translation>Überschneidet {0} {1}.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="187"/>
        <source>Left wall</source>
        <translation>Linke Wand</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="188"/>
        <source>Right wall</source>
        <translation>Rechte Wand</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="189"/>
        <source>Front wall</source>
        <translation>Vorderwand</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="190"/>
        <source>Back wall</source>
        <translation>Rückwand</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="191"/>
        <source>Floor</source>
        <translation>Boden</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_tools.py" line="192"/>
        <source>Top of the box</source>
        <translation>Oberkante des Kastens</translation>
    </message>
</context>
<context>
    <name>BoxView</name>
    <message>
        <location filename="../../app/qt/views/box_view.py" line="81"/>
        <source>Box with its cores in 3D</source>
        <translation>Kasten mit seinen Kernen in 3D</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_view.py" line="208"/>
        <source>Click: choose a core. Left drag: turn. Right or middle drag: move. Wheel: zoom. Double click or Home: whole box. M: move cores. D: measure.</source>
        <translation>Klick: Kern wählen. Links ziehen: drehen. Rechts oder Mitte ziehen: verschieben. Rad: vergrößern. Doppelklick oder Pos1: ganzer Kasten. M: Kerne bewegen. D: messen.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_view.py" line="212"/>
        <source>Drag a core to move it, with Shift up and down. Arrow keys, Page Up and Page Down move the chosen core, with Shift in fine steps. R: turn. L: lock. Escape: look.</source>
        <translation>Einen Kern ziehen, um ihn zu bewegen, mit Umschalt auf und ab. Pfeiltasten, Bild auf und Bild ab bewegen den gewählten Kern, mit Umschalt in feinen Schritten. R: drehen. L: sperren. Escape: ansehen.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_view.py" line="215"/>
        <source>Click two places on the cores: their distance is shown. Escape: look.</source>
        <translation>Zwei Stellen auf den Kernen anklicken: ihr Abstand wird gezeigt. Escape: ansehen.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_view.py" line="287"/>
        <source>Open a job, or drop a job file or the mesh files of cores here.</source>
        <translation>Öffnen Sie einen Auftrag, oder ziehen Sie eine Auftragsdatei oder die Netzdateien von Kernen hierher.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/box_view.py" line="285"/>
        <source>3D needs OpenGL, which this computer does not offer.</source>
        <translation>3D braucht OpenGL; dieser Rechner bietet es nicht.</translation>
    </message>
</context>
<context>
    <name>Chart</name>
    <message>
        <location filename="../../app/qt/views/charts.py" line="55"/>
        <source>Wheel: zoom. Drag: move. Arrow keys: read. Double click or Home: all. Menu key: save as picture or data.</source>
        <translation>Rad: zoomen. Ziehen: verschieben. Pfeiltasten: ablesen. Doppelklick oder Pos1: alles. Menütaste: als Bild oder Daten speichern.</translation>
    </message>
</context>
<context>
    <name>ChoiceStrip</name>
    <message>
        <location filename="../../app/qt/views/choice_strip.py" line="33"/>
        <source>Plan to pick</source>
        <translation>Plan zur Wahl</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/choice_strip.py" line="37"/>
        <source>Reason for the choice</source>
        <translation>Grund der Wahl</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/choice_strip.py" line="38"/>
        <source>Reason</source>
        <translation>Grund</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/choice_strip.py" line="39"/>
        <source>Who chooses</source>
        <translation>Wer wählt</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/choice_strip.py" line="40"/>
        <source>Name</source>
        <translation>Name</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/choice_strip.py" line="44"/>
        <source>Day of the choice</source>
        <translation>Tag der Wahl</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/choice_strip.py" line="45"/>
        <source>Pick this plan</source>
        <translation>Diesen Plan wählen</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/choice_strip.py" line="46"/>
        <source>Withdraw</source>
        <translation>Zurücknehmen</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/choice_strip.py" line="47"/>
        <source>Withdraw the choice</source>
        <translation>Die Wahl zurücknehmen</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/choice_strip.py" line="87"/>
        <source>No plan is picked yet; the choice is kept in the job.</source>
        <translation>Noch ist kein Plan gewählt; die Wahl steht dann im Auftrag.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/choice_strip.py" line="90"/>
        <source>Picked: {0}, by {1} on {2}. Reason: {3}</source>
        <translation>Gewählt: {0}, von {1} am {2}. Grund: {3}</translation>
    </message>
</context>
<context>
    <name>ChoicesBench</name>
    <message>
        <location filename="../../app/qt/choices_bench.py" line="33"/>
        <source>Leng&amp;ths in</source>
        <translation>Län&amp;gen in</translation>
    </message>
    <message>
        <location filename="../../app/qt/choices_bench.py" line="34"/>
        <source>&amp;Millimetres</source>
        <translation>&amp;Millimetern</translation>
    </message>
    <message>
        <location filename="../../app/qt/choices_bench.py" line="34"/>
        <source>&amp;Inches</source>
        <translation>&amp;Zoll</translation>
    </message>
    <message>
        <location filename="../../app/qt/choices_bench.py" line="36"/>
        <source>Lan&amp;guage</source>
        <translation>&amp;Sprache</translation>
    </message>
    <message>
        <location filename="../../app/qt/choices_bench.py" line="37"/>
        <source>As the &amp;system</source>
        <translation>Wie das &amp;System</translation>
    </message>
    <message>
        <location filename="../../app/qt/choices_bench.py" line="67"/>
        <source>The window speaks the language chosen from its next start on.</source>
        <translation>Das Fenster spricht die gewählte Sprache ab dem nächsten Start.</translation>
    </message>
</context>
<context>
    <name>CompareBench</name>
    <message>
        <location filename="../../app/qt/compare_bench.py" line="70"/>
        <source>The comparison is in {0}</source>
        <translation>Der Vergleich ist in {0}</translation>
    </message>
</context>
<context>
    <name>CompareBoxes</name>
    <message>
        <location filename="../../app/qt/views/compare_boxes.py" line="52"/>
        <source>Box shown of all plans</source>
        <translation>Gezeigter Kasten aller Pläne</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/compare_boxes.py" line="54"/>
        <source>Box</source>
        <translation>Kasten</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/compare_boxes.py" line="69"/>
        <source>Cores without a mesh at hand are not drawn: a plan file holds no meshes. They are read from the files that its job names, beside the plan&apos;s folder, as long as they are unchanged. Lay the plan beside them, or plan its job anew and keep that plan.</source>
        <translation>Kerne, deren Netz nicht zur Hand ist, sind nicht gezeichnet: eine Plandatei enthält keine Netze. Sie werden aus den Dateien gelesen, die ihr Auftrag nennt, neben dem Ordner des Plans, solange sie unverändert sind. Legen Sie den Plan neben sie, oder planen Sie seinen Auftrag neu und merken Sie diesen Plan.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/compare_boxes.py" line="87"/>
        <source>Boxes of all plans</source>
        <translation>Kästen aller Pläne</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/compare_boxes.py" line="162"/>
        <source>Box of {0} in 3D</source>
        <translation>Kasten von {0} in 3D</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/compare_boxes.py" line="166"/>
        <source>{0}: no further box</source>
        <translation>{0}: kein weiterer Kasten</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/compare_boxes.py" line="181"/>
        <source>{0}: box {1} of {2}</source>
        <translation>{0}: Kasten {1} von {2}</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/compare_boxes.py" line="183"/>
        <source>, {0} cores without a mesh at hand</source>
        <translation>, {0} Kerne ohne greifbares Netz</translation>
    </message>
</context>
<context>
    <name>CompareCurves</name>
    <message>
        <location filename="../../app/qt/views/compare_curves.py" line="24"/>
        <source>Printed area and time over height of all plans</source>
        <translation>Druckfläche und Zeit aller Pläne über der Höhe</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/compare_curves.py" line="25"/>
        <source>comparison</source>
        <translation>Vergleich</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/compare_curves.py" line="30"/>
        <source>area, cm²</source>
        <translation>Fläche, cm²</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/compare_curves.py" line="31"/>
        <source>layer, s</source>
        <translation>Schicht, s</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/compare_curves.py" line="31"/>
        <source>height, mm</source>
        <translation>Höhe, mm</translation>
    </message>
</context>
<context>
    <name>ComparePage</name>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="67"/>
        <source>Keep this plan</source>
        <translation>Diesen Plan merken</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="68"/>
        <source>Lay the plan shown beside the others.</source>
        <translation>Den gezeigten Plan neben die anderen legen.</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="70"/>
        <source>Add plan files…</source>
        <translation>Plandateien hinzufügen…</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="75"/>
        <source>Save the &amp;comparison as PDF…</source>
        <translation>&amp;Vergleich als PDF speichern…</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="91"/>
        <location filename="../../app/qt/pages/compare_page.py" line="97"/>
        <source>What each plan is better at</source>
        <translation>Worin jeder Plan besser ist</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="104"/>
        <source>Views of the comparison</source>
        <translation>Ansichten des Vergleichs</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="105"/>
        <source>Figures</source>
        <translation>Zahlen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="106"/>
        <source>Boxes</source>
        <translation>Kästen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="113"/>
        <source>Over height</source>
        <translation>Über der Höhe</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="152"/>
        <source>Add plans</source>
        <translation>Pläne hinzufügen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="162"/>
        <source>Save the comparison</source>
        <translation>Vergleich speichern</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="162"/>
        <source>Sheets (*.pdf)</source>
        <translation>Blätter (*.pdf)</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="162"/>
        <source>comparison</source>
        <translation>Vergleich</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="226"/>
        <source>Keep a plan, change the job, plan again and keep that too; or add plan files, or drop them here.</source>
        <translation>Einen Plan merken, den Auftrag ändern, neu planen und auch das merken; oder Plandateien hinzufügen oder hierher ziehen.</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="229"/>
        <source>{0} is kept; a second plan is needed.</source>
        <translation>{0} ist gemerkt; es braucht einen zweiten Plan.</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="269"/>
        <source>pick the plan {0}</source>
        <translation>Plan {0} wählen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="272"/>
        <source>withdraw the choice of a plan</source>
        <translation>Wahl eines Plans zurücknehmen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="72"/>
        <source>Clear</source>
        <translation>Leeren</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="73"/>
        <source>Clear the comparison</source>
        <translation>Vergleich leeren</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="116"/>
        <source>Save the curves or the comparison</source>
        <translation>Kurven oder Vergleich speichern</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/compare_page.py" line="152"/>
        <source>Plans (plan.json);;All files (*)</source>
        <translation>Pläne (plan.json);;Alle Dateien (*)</translation>
    </message>
</context>
<context>
    <name>CompareTable</name>
    <message>
        <location filename="../../app/qt/views/compare_table.py" line="21"/>
        <source>Plans side by side</source>
        <translation>Pläne nebeneinander</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/compare_table.py" line="30"/>
        <location filename="../../app/qt/views/compare_table.py" line="32"/>
        <source>Figure</source>
        <translation>Größe</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/compare_table.py" line="59"/>
        <source>Height of the beds</source>
        <translation>Höhe der Betten</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/compare_table.py" line="60"/>
        <source>Core in the bed</source>
        <translation>Kern im Bett</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/compare_table.py" line="61"/>
        <source>Cost of a casting set</source>
        <translation>Kosten eines Gusssatzes</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/compare_table.py" line="62"/>
        <source>Unpacking and finishing</source>
        <translation>Auspacken und Nacharbeit</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/compare_table.py" line="63"/>
        <source>Pieces over the hand limit</source>
        <translation>Stücke über der Handgrenze</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/compare_table.py" line="64"/>
        <source>Findings: stop</source>
        <translation>Befunde: Stopp</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/compare_table.py" line="65"/>
        <source>Findings: check</source>
        <translation>Befunde: Prüfen</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/compare_table.py" line="80"/>
        <source>best: {0}</source>
        <translation>am besten: {0}</translation>
    </message>
</context>
<context>
    <name>CoreRules</name>
    <message>
        <location filename="../../app/qt/pages/core_rules.py" line="72"/>
        <source>Copies outside sets</source>
        <translation>Stück außerhalb von Sätzen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/core_rules.py" line="73"/>
        <source>Turned by steps of</source>
        <translation>Gedreht in Schritten von</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/core_rules.py" line="74"/>
        <source>May lie on its side {0}</source>
        <translation>Darf auf Seite {0} liegen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/core_rules.py" line="75"/>
        <source>Held by hand</source>
        <translation>Von Hand gehalten</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/core_rules.py" line="76"/>
        <source>Fragile</source>
        <translation>Zerbrechlich</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/core_rules.py" line="77"/>
        <source>yes</source>
        <translation>ja</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/core_rules.py" line="78"/>
        <source>no</source>
        <translation>nein</translation>
    </message>
</context>
<context>
    <name>CoresBench</name>
    <message>
        <location filename="../../app/qt/cores_bench.py" line="48"/>
        <source>Cores to add</source>
        <translation>Kerne hinzufügen</translation>
    </message>
    <message>
        <location filename="../../app/qt/cores_bench.py" line="50"/>
        <source>Meshes ({0})</source>
        <translation>Netze ({0})</translation>
    </message>
    <message>
        <location filename="../../app/qt/cores_bench.py" line="61"/>
        <source>Work is going on; stop it before cores are added.</source>
        <translation>Es wird gerechnet; vor dem Hinzufügen von Kernen anhalten.</translation>
    </message>
    <message>
        <location filename="../../app/qt/cores_bench.py" line="70"/>
        <source>add cores</source>
        <translation>Kerne hinzufügen</translation>
    </message>
    <message>
        <location filename="../../app/qt/cores_bench.py" line="78"/>
        <source>Work is going on; stop it before a core is checked.</source>
        <translation>Es wird gerechnet; vor dem Prüfen eines Kerns anhalten.</translation>
    </message>
    <message>
        <location filename="../../app/qt/cores_bench.py" line="90"/>
        <source>Nothing stands against the shape of {0}.</source>
        <translation>Gegen die Form von {0} spricht nichts.</translation>
    </message>
    <message>
        <location filename="../../app/qt/cores_bench.py" line="93"/>
        <source>{0}: findings are in the list and at their places.</source>
        <translation>{0}: Befunde stehen in der Liste und an ihren Stellen.</translation>
    </message>
</context>
<context>
    <name>CoresPage</name>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="37"/>
        <location filename="../../app/qt/pages/cores_page.py" line="59"/>
        <source>Casting sets</source>
        <translation>Gusssätze</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="38"/>
        <location filename="../../app/qt/pages/cores_page.py" line="307"/>
        <source>Casting set</source>
        <translation>Gusssatz</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="38"/>
        <source>Castings</source>
        <translation>Güsse</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="38"/>
        <source>Cores in one</source>
        <translation>Kerne für einen Guss</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="44"/>
        <source>Cores</source>
        <translation>Kerne</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="46"/>
        <source>Core</source>
        <translation>Kern</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="47"/>
        <source>Copies</source>
        <translation>Stück</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="48"/>
        <location filename="../../app/qt/pages/cores_page.py" line="209"/>
        <source>Spares</source>
        <translation>Ersatz</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="49"/>
        <location filename="../../app/qt/pages/cores_page.py" line="215"/>
        <source>Own gap</source>
        <translation>Eigener Abstand</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="50"/>
        <location filename="../../app/qt/pages/cores_page.py" line="223"/>
        <source>May lie</source>
        <translation>Darf liegen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="51"/>
        <source>Mass</source>
        <translation>Masse</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="52"/>
        <source>Cost each</source>
        <translation>Kosten je Stück</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="62"/>
        <location filename="../../app/qt/pages/cores_page.py" line="66"/>
        <location filename="../../app/qt/pages/cores_page.py" line="274"/>
        <source>Alloy poured</source>
        <translation>Vergossene Legierung</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="67"/>
        <source>Cores (mesh files can be dropped on the window)</source>
        <translation>Kerne (Netzdateien lassen sich auf das Fenster ziehen)</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="81"/>
        <source>New casting set</source>
        <translation>Neuer Gusssatz</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="82"/>
        <source>Remove the casting set</source>
        <translation>Gusssatz entfernen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="88"/>
        <source>Add cores…</source>
        <translation>Kerne hinzufügen…</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="89"/>
        <source>Remove the core</source>
        <translation>Kern entfernen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="90"/>
        <source>Check the core</source>
        <translation>Kern prüfen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="92"/>
        <source>Walls, trapped sand and bending of the chosen core; what is found is shown at its place</source>
        <translation>Wände, eingeschlossener Sand und Biegung des gewählten Kerns; Befunde werden an ihrer Stelle gezeigt</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="148"/>
        <source>Castings of {0}</source>
        <translation>Güsse von {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="149"/>
        <location filename="../../app/qt/pages/cores_page.py" line="201"/>
        <source>Name of {0}</source>
        <translation>Name von {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="165"/>
        <source>{0} in one casting of {1}</source>
        <translation>{0} in einem Guss von {1}</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="210"/>
        <source>Spares of {0}</source>
        <translation>Ersatz von {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="218"/>
        <source>Gap of {0}</source>
        <translation>Abstand von {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="226"/>
        <source>Orientations of {0}</source>
        <translation>Ausrichtungen von {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="281"/>
        <source>on stated sides</source>
        <translation>auf genannten Seiten</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="282"/>
        <source>turned by any angle</source>
        <translation>beliebig gedreht</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="308"/>
        <source>new casting set</source>
        <translation>neuer Gusssatz</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="313"/>
        <source>remove a casting set</source>
        <translation>Gusssatz entfernen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="318"/>
        <source>remove a core</source>
        <translation>Kern entfernen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="194"/>
        <source>{0} mm, {1}, {2} triangles</source>
        <translation>{0} mm, {1}, {2} Dreiecke</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="235"/>
        <location filename="../../app/qt/pages/cores_page.py" line="248"/>
        <source>none</source>
        <translation>keine</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="235"/>
        <location filename="../../app/qt/pages/cores_page.py" line="250"/>
        <source>all</source>
        <translation>alle</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="238"/>
        <source>Locked copies</source>
        <translation>Gesperrte Stücke</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="241"/>
        <source>Lock of {0}</source>
        <translation>Sperre von {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="251"/>
        <source>{0} of {1}</source>
        <translation>{0} von {1}</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="262"/>
        <source>not stated</source>
        <translation>nicht angegeben</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="263"/>
        <source>aluminium alloy</source>
        <translation>Aluminiumlegierung</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="264"/>
        <source>magnesium alloy</source>
        <translation>Magnesiumlegierung</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="265"/>
        <source>copper alloy</source>
        <translation>Kupferlegierung</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="266"/>
        <source>zinc alloy</source>
        <translation>Zinklegierung</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="267"/>
        <source>cast iron</source>
        <translation>Gusseisen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="268"/>
        <source>cast steel</source>
        <translation>Stahlguss</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="269"/>
        <source>another alloy</source>
        <translation>andere Legierung</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="278"/>
        <source>any right angle</source>
        <translation>jeder rechte Winkel</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="279"/>
        <source>as modelled, turned</source>
        <translation>wie modelliert, gedreht</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cores_page.py" line="280"/>
        <source>as modelled</source>
        <translation>wie modelliert</translation>
    </message>
</context>
<context>
    <name>CostBench</name>
    <message>
        <location filename="../../app/qt/cost_bench.py" line="92"/>
        <source>Reckoning what the change moves …</source>
        <translation>Was die Änderung bewegt, wird gerechnet …</translation>
    </message>
    <message>
        <location filename="../../app/qt/cost_bench.py" line="107"/>
        <source>Nothing has changed since the plan.</source>
        <translation>Seit dem Plan hat sich nichts geändert.</translation>
    </message>
    <message>
        <location filename="../../app/qt/cost_bench.py" line="110"/>
        <source>From the plan before to this one:</source>
        <translation>Vom vorigen Plan zu diesem:</translation>
    </message>
    <message>
        <location filename="../../app/qt/cost_bench.py" line="110"/>
        <source>Nothing has moved.</source>
        <translation>Nichts hat sich bewegt.</translation>
    </message>
    <message>
        <location filename="../../app/qt/cost_bench.py" line="123"/>
        <source>The change moves no figure of time or cost.</source>
        <translation>Die Änderung bewegt keine Zahl von Zeit oder Kosten.</translation>
    </message>
    <message>
        <location filename="../../app/qt/cost_bench.py" line="125"/>
        <source>Since the plan, the cores packed anew in a quick way (F5 plans for good):</source>
        <translation>Seit dem Plan, die Kerne rasch neu gepackt (F5 plant gültig):</translation>
    </message>
    <message>
        <location filename="../../app/qt/cost_bench.py" line="127"/>
        <source>Since the plan, in the same packing:</source>
        <translation>Seit dem Plan, in derselben Packung:</translation>
    </message>
    <message>
        <location filename="../../app/qt/cost_bench.py" line="166"/>
        <source>What the change moves can&apos;t be reckoned.</source>
        <translation>Was die Änderung bewegt, lässt sich nicht rechnen.</translation>
    </message>
</context>
<context>
    <name>CostPage</name>
    <message>
        <location filename="../../app/qt/pages/cost_page.py" line="44"/>
        <source>Rates and castings</source>
        <translation>Sätze und Gussteile</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cost_page.py" line="45"/>
        <source>Input</source>
        <translation>Eingabe</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cost_page.py" line="45"/>
        <source>Value</source>
        <translation>Wert</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cost_page.py" line="56"/>
        <source>Views of time and cost</source>
        <translation>Ansichten von Zeit und Kosten</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cost_page.py" line="57"/>
        <source>Figures</source>
        <translation>Zahlen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cost_page.py" line="58"/>
        <source>Change and effect</source>
        <translation>Änderung und Wirkung</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cost_page.py" line="59"/>
        <source>Price and quantity</source>
        <translation>Preis und Menge</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cost_page.py" line="92"/>
        <source>Castings</source>
        <translation>Güsse</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cost_page.py" line="96"/>
        <source>Rates</source>
        <translation>Sätze</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cost_page.py" line="108"/>
        <source>changed</source>
        <translation>geändert</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/cost_page.py" line="130"/>
        <location filename="../../app/qt/pages/cost_page.py" line="155"/>
        <source>Castings of {0}</source>
        <translation>Güsse von {0}</translation>
    </message>
</context>
<context>
    <name>Desk</name>
    <message>
        <location filename="../../app/qt/desk.py" line="109"/>
        <source>Findings</source>
        <translation>Befunde</translation>
    </message>
    <message>
        <location filename="../../app/qt/desk.py" line="112"/>
        <source>Findings: {0}</source>
        <translation>Befunde: {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/desk.py" line="112"/>
        <source>none</source>
        <translation>keine</translation>
    </message>
    <message>
        <location filename="../../app/qt/desk.py" line="122"/>
        <source>No plan yet</source>
        <translation>Noch kein Plan</translation>
    </message>
    <message>
        <location filename="../../app/qt/desk.py" line="188"/>
        <source>Layer {0} of {1} · {2} above the floor</source>
        <translation>Schicht {0} von {1} · {2} über dem Boden</translation>
    </message>
</context>
<context>
    <name>EditTree</name>
    <message>
        <location filename="../../app/qt/views/edit_tree.py" line="99"/>
        <source>Take the &amp;profile&apos;s value</source>
        <translation>Wert des &amp;Profils nehmen</translation>
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
        <location filename="../../app/qt/views/findings_view.py" line="75"/>
        <source>Findings</source>
        <translation>Befunde</translation>
    </message>
</context>
<context>
    <name>HandPlacing</name>
    <message>
        <location filename="../../app/qt/hand_placing.py" line="149"/>
        <source>What rides along stays in its box.</source>
        <translation>Was mitläuft, bleibt in seinem Kasten.</translation>
    </message>
    <message>
        <location filename="../../app/qt/hand_placing.py" line="168"/>
        <source>lock a core</source>
        <translation>Kern sperren</translation>
    </message>
    <message>
        <location filename="../../app/qt/hand_placing.py" line="168"/>
        <source>free a core</source>
        <translation>Kern freigeben</translation>
    </message>
    <message>
        <location filename="../../app/qt/hand_placing.py" line="180"/>
        <source>This core is locked where it is; L sets it free.</source>
        <translation>Dieser Kern ist gesperrt, wo er ist; L gibt ihn frei.</translation>
    </message>
    <message>
        <location filename="../../app/qt/hand_placing.py" line="186"/>
        <source>The job has changed since its plan; plan it (F5), then move cores.</source>
        <translation>Der Auftrag hat sich seit seinem Plan geändert; erst planen (F5), dann Kerne bewegen.</translation>
    </message>
    <message>
        <location filename="../../app/qt/hand_placing.py" line="188"/>
        <source>Choose a core first.</source>
        <translation>Zuerst einen Kern wählen.</translation>
    </message>
    <message>
        <location filename="../../app/qt/hand_placing.py" line="257"/>
        <source>move {0} {1}</source>
        <translation>{0} {1} bewegen</translation>
    </message>
    <message>
        <location filename="../../app/qt/hand_placing.py" line="257"/>
        <source>turn {0} {1}</source>
        <translation>{0} {1} drehen</translation>
    </message>
    <message>
        <location filename="../../app/qt/hand_placing.py" line="270"/>
        <source>move {0} {1} to box {2}</source>
        <translation>{0} {1} in Kasten {2} legen</translation>
    </message>
</context>
<context>
    <name>HeightCharts</name>
    <message>
        <location filename="../../app/qt/views/height_charts.py" line="28"/>
        <source>Charts over height</source>
        <translation>Diagramme über der Höhe</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/height_charts.py" line="28"/>
        <source>over height</source>
        <translation>über der Höhe</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/height_charts.py" line="32"/>
        <source>area, cm²</source>
        <translation>Fläche, cm²</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/height_charts.py" line="33"/>
        <source>layer, s</source>
        <translation>Schicht, s</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/height_charts.py" line="34"/>
        <source>idle, s</source>
        <translation>Ruhe, s</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/height_charts.py" line="34"/>
        <source>height, mm</source>
        <translation>Höhe, mm</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/height_charts.py" line="65"/>
        <source>open time {0} s</source>
        <translation>Offenzeit {0} s</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/height_charts.py" line="98"/>
        <source>Layer {0} · {1} mm</source>
        <translation>Schicht {0} · {1} mm</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/height_charts.py" line="99"/>
        <source>printed area {0} cm²</source>
        <translation>Druckfläche {0} cm²</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/height_charts.py" line="102"/>
        <source>time {0}</source>
        <translation>Zeit {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/height_charts.py" line="107"/>
        <source>longest idle before a drop {0}</source>
        <translation>längste Ruhe vor einem Tropfen {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/height_charts.py" line="109"/>
        <source>{0} nozzles past the open time</source>
        <translation>{0} Düsen über der Offenzeit</translation>
    </message>
</context>
<context>
    <name>HeightRule</name>
    <message>
        <location filename="../../app/qt/views/height_rule.py" line="58"/>
        <source>Height rule: layer shown</source>
        <translation>Höhenmaßstab: gezeigte Schicht</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/height_rule.py" line="60"/>
        <source>Drag or click to choose the layer. Arrow keys: one layer; Page keys: ten; Home, End.</source>
        <translation>Ziehen oder klicken wählt die Schicht. Pfeiltasten: eine Schicht; Bildtasten: zehn; Pos1, Ende.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/height_rule.py" line="74"/>
        <source>height, mm</source>
        <translation>Höhe, mm</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/height_rule.py" line="75"/>
        <source>layer</source>
        <translation>Schicht</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/height_rule.py" line="76"/>
        <source>printed area, cm²</source>
        <translation>Druckfläche, cm²</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/height_rule.py" line="101"/>
        <source>no plan</source>
        <translation>kein Plan</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/height_rule.py" line="128"/>
        <source>layer {0} of {1}, {2}</source>
        <translation>Schicht {0} von {1}, {2}</translation>
    </message>
</context>
<context>
    <name>HelpBench</name>
    <message>
        <location filename="../../app/qt/help.py" line="210"/>
        <source>&amp;Help on this page</source>
        <translation>&amp;Hilfe zu dieser Seite</translation>
    </message>
</context>
<context>
    <name>HelpWindow</name>
    <message>
        <location filename="../../app/qt/help.py" line="108"/>
        <source>Help</source>
        <translation>Hilfe</translation>
    </message>
    <message>
        <location filename="../../app/qt/help.py" line="112"/>
        <source>Help pages</source>
        <translation>Seiten der Hilfe</translation>
    </message>
    <message>
        <location filename="../../app/qt/help.py" line="119"/>
        <source>Help page</source>
        <translation>Seite der Hilfe</translation>
    </message>
    <message>
        <location filename="../../app/qt/help.py" line="122"/>
        <location filename="../../app/qt/help.py" line="123"/>
        <source>Find on this page</source>
        <translation>Auf dieser Seite suchen</translation>
    </message>
    <message>
        <location filename="../../app/qt/help.py" line="125"/>
        <source>&amp;Next place</source>
        <translation>&amp;Nächste Stelle</translation>
    </message>
    <message>
        <location filename="../../app/qt/help.py" line="126"/>
        <source>&amp;Back</source>
        <translation>&amp;Zurück</translation>
    </message>
    <message>
        <location filename="../../app/qt/help.py" line="127"/>
        <source>Close</source>
        <translation>Schließen</translation>
    </message>
    <message>
        <location filename="../../app/qt/help.py" line="185"/>
        <source>not on this page</source>
        <translation>nicht auf dieser Seite</translation>
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
        <source>Sa&amp;ve job as…</source>
        <translation>Auftrag speichern &amp;unter …</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="45"/>
        <source>Open &amp;recent</source>
        <translation>&amp;Zuletzt geöffnet</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="69"/>
        <source>Open job</source>
        <translation>Auftrag öffnen</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="69"/>
        <source>Jobs (*.json);;All files (*)</source>
        <translation>Aufträge (*.json);;Alle Dateien (*)</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="80"/>
        <source>A plan is being made; stop it before another job is opened.</source>
        <translation>Ein Plan wird gerade gemacht; halten Sie ihn an, bevor Sie einen anderen Auftrag öffnen.</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="94"/>
        <source>{0} can only be read: changes are saved under another name.</source>
        <translation>{0} kann nur gelesen werden: Änderungen werden unter anderem Namen gespeichert.</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="100"/>
        <location filename="../../app/qt/jobs_bench.py" line="189"/>
        <source>This job is open in another window; what is saved last stays.</source>
        <translation>Dieser Auftrag ist in einem anderen Fenster offen; was zuletzt gespeichert wird, bleibt.</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="113"/>
        <source>Changes were recovered</source>
        <translation>Änderungen wurden wiedergefunden</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="106"/>
        <source>Corestow ended before changes to this job were saved. Take them up again?</source>
        <translation>Corestow endete, bevor Änderungen an diesem Auftrag gespeichert waren. Wieder aufnehmen?</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="108"/>
        <source>recovered changes</source>
        <translation>wiedergefundene Änderungen</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="121"/>
        <source>Corestow ended before changes to {0} were saved. Open the job and take them up again? With No they are offered again when the job is opened.</source>
        <translation>Corestow wurde beendet, bevor Änderungen an {0} gespeichert waren. Den Auftrag öffnen und sie wieder aufnehmen? Bei Nein werden sie beim Öffnen des Auftrags noch einmal angeboten.</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="143"/>
        <source>Cores of the new job</source>
        <translation>Kerne des neuen Auftrags</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="143"/>
        <source>Meshes ({0})</source>
        <translation>Netze ({0})</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="177"/>
        <source>Save job as</source>
        <translation>Auftrag speichern unter</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="177"/>
        <source>Jobs (*.json)</source>
        <translation>Aufträge (*.json)</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="198"/>
        <source>Changes are not saved</source>
        <translation>Änderungen sind nicht gespeichert</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="199"/>
        <source>The job has changes that are not saved. Save them?</source>
        <translation>Der Auftrag hat Änderungen, die nicht gespeichert sind. Speichern?</translation>
    </message>
    <message>
        <location filename="../../app/qt/jobs_bench.py" line="215"/>
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
        <location filename="../../app/qt/views/layer_view.py" line="52"/>
        <source>Layer from above</source>
        <translation>Schicht von oben</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/layer_view.py" line="55"/>
        <source>Wheel: zoom, down to single pixels. Drag: move. Arrow keys move, + and - zoom and read the middle. Double click or Home: the whole box.</source>
        <translation>Rad: zoomen bis auf einzelne Bildpunkte. Ziehen: verschieben. Pfeiltasten verschieben, + und - zoomen und lesen die Mitte ab. Doppelklick oder Pos1: der ganze Kasten.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/layer_view.py" line="60"/>
        <source>layer</source>
        <translation>Schicht</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/layer_view.py" line="72"/>
        <source>y, mm</source>
        <translation>y, mm</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/layer_view.py" line="73"/>
        <source>x, mm</source>
        <translation>x, mm</translation>
    </message>
</context>
<context>
    <name>LayersPage</name>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="50"/>
        <source>Reading</source>
        <translation>Ablesung</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="54"/>
        <source>none</source>
        <translation>keine</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="55"/>
        <location filename="../../app/qt/pages/layers_page.py" line="106"/>
        <source>Dead nozzles</source>
        <translation>Tote Düsen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="57"/>
        <source>Numbers from 0 and spans, as 12, 40-43: their rows are marked.</source>
        <translation>Nummern ab 0 und Spannen, etwa 12, 40-43: ihre Zeilen werden markiert.</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="77"/>
        <source>As drawn</source>
        <translation>Gezeichnet</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="77"/>
        <source>Outlines of the cores as drawn: dashed.</source>
        <translation>Umrisse der Kerne wie gezeichnet: gestrichelt.</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="79"/>
        <source>As printed</source>
        <translation>Gedruckt</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="80"/>
        <source>Outlines of what gets binder, with all allowances: solid.</source>
        <translation>Umrisse dessen, was Binder bekommt, mit allen Aufmaßen: durchgezogen.</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="82"/>
        <source>Pixels</source>
        <translation>Bildpunkte</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="82"/>
        <source>The layer&apos;s image: each pixel that gets binder.</source>
        <translation>Das Bild der Schicht: jeder Bildpunkt, der Binder bekommt.</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="83"/>
        <source>Strokes</source>
        <translation>Hübe</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="83"/>
        <source>Printing moves of the head, as arrows: dash and dot.</source>
        <translation>Druckende Fahrten des Kopfes, als Pfeile: Strich-Punkt.</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="115"/>
        <source>Views of the layers</source>
        <translation>Ansichten der Schichten</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="116"/>
        <source>Layer</source>
        <translation>Schicht</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="117"/>
        <source>Over height</source>
        <translation>Über der Höhe</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="206"/>
        <source>No nozzle prints in this box.</source>
        <translation>In diesem Kasten druckt keine Düse.</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="211"/>
        <source>All nozzles of this box are being followed, for their idle times: {0} % done.</source>
        <translation>Alle Düsen dieses Kastens werden für ihre Ruhezeiten verfolgt: {0} % getan.</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="217"/>
        <source>The nozzles could not be followed; planning again (F5) may help.</source>
        <translation>Die Düsen konnten nicht verfolgt werden; neu planen (F5) kann helfen.</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="227"/>
        <source>No plan yet: open a job or plan it (F5).</source>
        <translation>Noch kein Plan: einen Auftrag öffnen oder ihn planen (F5).</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="296"/>
        <source>, dead</source>
        <translation>, tot</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="94"/>
        <source>Parts of the layer</source>
        <translation>Teile der Schicht</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="118"/>
        <source>Nozzles</source>
        <translation>Düsen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="130"/>
        <location filename="../../app/qt/pages/layers_page.py" line="131"/>
        <source>Save picture or data</source>
        <translation>Bild oder Daten speichern</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="175"/>
        <source>No plan yet</source>
        <translation>Noch kein Plan</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="179"/>
        <source>Printed area {0} cm² · outline {1} m · binder {2} · time {3}</source>
        <translation>Druckfläche {0} cm² · Umriss {1} m · Binder {2} · Zeit {3}</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="274"/>
        <source>Dead nozzles are numbers and spans, as 12, 40-43; this is neither: {0}</source>
        <translation>Tote Düsen sind Nummern und Spannen, etwa 12, 40-43; das ist keines von beiden: {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="292"/>
        <source>on</source>
        <translation>an</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="292"/>
        <source>off</source>
        <translation>aus</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="293"/>
        <source>pixel {0}, {1}: {2}</source>
        <translation>Bildpunkt {0}, {1}: {2}</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="297"/>
        <source>nozzle {0}</source>
        <translation>Düse {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="299"/>
        <source>outside</source>
        <translation>außerhalb</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="301"/>
        <source>inside {0}</source>
        <translation>in {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="304"/>
        <source>inside {0} as drawn, gets no binder</source>
        <translation>in {0} wie gezeichnet, bekommt keinen Binder</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/layers_page.py" line="307"/>
        <source>gets binder for {0}, outside it as drawn</source>
        <translation>bekommt Binder für {0}, außerhalb des gezeichneten Umrisses</translation>
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
        <location filename="../../app/qt/main_window.py" line="122"/>
        <source>Box shown</source>
        <translation>Gezeigter Kasten</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="127"/>
        <source>&amp;Plan</source>
        <translation>&amp;Planen</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="128"/>
        <source>&amp;Stop</source>
        <translation>S&amp;topp</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="130"/>
        <source>&amp;Quit</source>
        <translation>B&amp;eenden</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="132"/>
        <source>&amp;Undo</source>
        <translation>&amp;Rückgängig</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="134"/>
        <source>&amp;Redo</source>
        <translation>&amp;Wiederholen</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="155"/>
        <source>&amp;Job</source>
        <translation>&amp;Auftrag</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="161"/>
        <source>&amp;Edit</source>
        <translation>&amp;Bearbeiten</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="165"/>
        <source>&amp;Box</source>
        <translation>&amp;Kasten</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="166"/>
        <source>&amp;View</source>
        <translation>A&amp;nsicht</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="152"/>
        <source>&amp;About and licences</source>
        <translation>&amp;Über Corestow und Lizenzen</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="137"/>
        <source>S&amp;teps…</source>
        <translation>&amp;Schritte …</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="174"/>
        <source>&amp;Help</source>
        <translation>&amp;Hilfe</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="180"/>
        <source>Work</source>
        <translation>Arbeit</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="188"/>
        <location filename="../../app/qt/main_window.py" line="199"/>
        <source>Box</source>
        <translation>Kasten</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="197"/>
        <source>Pages</source>
        <translation>Seiten</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="198"/>
        <source>Cores</source>
        <translation>Kerne</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="200"/>
        <source>Layers</source>
        <translation>Schichten</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="201"/>
        <source>Process</source>
        <translation>Prozess</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="202"/>
        <source>Time and cost</source>
        <translation>Zeit und Kosten</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="203"/>
        <source>Compare</source>
        <translation>Vergleich</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="249"/>
        <source>The work was stopped.</source>
        <translation>Die Arbeit wurde angehalten.</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="272"/>
        <source>Something went wrong ({0}); see the log {1}.</source>
        <translation>Etwas ging schief ({0}); siehe das Protokoll {1}.</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="277"/>
        <source>An internal fault was written to the log {0}.</source>
        <translation>Ein interner Fehler steht im Protokoll {0}.</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="327"/>
        <source>(can only be read)</source>
        <translation>(kann nur gelesen werden)</translation>
    </message>
    <message>
        <location filename="../../app/qt/main_window.py" line="340"/>
        <source>{0} of {1} ({2} cores)</source>
        <translation>{0} von {1} ({2} Kerne)</translation>
    </message>
</context>
<context>
    <name>MeasuredPlaces</name>
    <message>
        <location filename="../../app/qt/measured.py" line="81"/>
        <source>Click a place on a core, then a second one.</source>
        <translation>Eine Stelle auf einem Kern anklicken, dann eine zweite.</translation>
    </message>
    <message>
        <location filename="../../app/qt/measured.py" line="84"/>
        <source>Place x {0}, y {1}, z {2} mm. Click a second one.</source>
        <translation>Stelle x {0}, y {1}, z {2} mm. Eine zweite anklicken.</translation>
    </message>
    <message>
        <location filename="../../app/qt/measured.py" line="86"/>
        <source>Distance {0}: Δx {1}, Δy {2}, Δz {3} mm</source>
        <translation>Abstand {0}: Δx {1}, Δy {2}, Δz {3} mm</translation>
    </message>
</context>
<context>
    <name>MovedView</name>
    <message>
        <location filename="../../app/qt/views/moved_view.py" line="24"/>
        <source>What moved</source>
        <translation>Was sich bewegt hat</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/moved_view.py" line="25"/>
        <source>Figure</source>
        <translation>Größe</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/moved_view.py" line="25"/>
        <source>Before</source>
        <translation>Vorher</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/moved_view.py" line="25"/>
        <source>After</source>
        <translation>Nachher</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/moved_view.py" line="25"/>
        <source>Difference</source>
        <translation>Unterschied</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/moved_view.py" line="38"/>
        <source>What was changed</source>
        <translation>Was geändert wurde</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/moved_view.py" line="39"/>
        <source>The job</source>
        <translation>Der Auftrag</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/moved_view.py" line="40"/>
        <source>Cost by kind</source>
        <translation>Kosten nach Art</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/moved_view.py" line="41"/>
        <source>Time, all boxes</source>
        <translation>Zeit, alle Kästen</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/moved_view.py" line="42"/>
        <source>Cost of one core</source>
        <translation>Kosten eines Kerns</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/moved_view.py" line="43"/>
        <source>Cost of one casting set</source>
        <translation>Kosten eines Gusssatzes</translation>
    </message>
</context>
<context>
    <name>NestStrip</name>
    <message>
        <location filename="../../app/qt/views/nest_strip.py" line="29"/>
        <source>Nest</source>
        <translation>Packen</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nest_strip.py" line="30"/>
        <source>Search a lower packing; locked cores stay where they are (F6)</source>
        <translation>Eine niedrigere Packung suchen; gesperrte Kerne bleiben, wo sie sind (F6)</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nest_strip.py" line="31"/>
        <source>Stop and keep the best</source>
        <translation>Anhalten, Bestes behalten</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nest_strip.py" line="34"/>
        <source>Time for the search</source>
        <translation>Zeit für die Suche</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nest_strip.py" line="36"/>
        <source>0: the effort counts, and the result repeats on any computer</source>
        <translation>0: der Aufwand zählt, und das Ergebnis wiederholt sich auf jedem Rechner</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nest_strip.py" line="37"/>
        <location filename="../../app/qt/views/nest_strip.py" line="64"/>
        <source>Seed</source>
        <translation>Startzahl</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nest_strip.py" line="38"/>
        <location filename="../../app/qt/views/nest_strip.py" line="65"/>
        <source>Effort</source>
        <translation>Aufwand</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nest_strip.py" line="39"/>
        <source>million places tried</source>
        <translation>Millionen versuchte Plätze</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nest_strip.py" line="45"/>
        <source>Boxes so far</source>
        <translation>Kästen bisher</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nest_strip.py" line="63"/>
        <source>At most</source>
        <translation>Höchstens</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nest_strip.py" line="91"/>
        <source>Searching…</source>
        <translation>Sucht…</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nest_strip.py" line="103"/>
        <source>Box {0}: {1} cores, {2} high, {3} % full; none can be lower than {4}</source>
        <translation>Kasten {0}: {1} Kerne, {2} hoch, {3} % gefüllt; keine kann niedriger sein als {4}</translation>
    </message>
</context>
<context>
    <name>NewJob</name>
    <message>
        <location filename="../../app/qt/new_job.py" line="42"/>
        <source>Length unit of the meshes</source>
        <translation>Längeneinheit der Netze</translation>
    </message>
    <message>
        <location filename="../../app/qt/new_job.py" line="43"/>
        <source>The files do not say their length unit. It is:</source>
        <translation>Die Dateien nennen ihre Längeneinheit nicht. Sie ist:</translation>
    </message>
    <message>
        <location filename="../../app/qt/new_job.py" line="61"/>
        <source>Save the new job as</source>
        <translation>Neuen Auftrag speichern unter</translation>
    </message>
    <message>
        <location filename="../../app/qt/new_job.py" line="63"/>
        <source>Jobs (*.json)</source>
        <translation>Aufträge (*.json)</translation>
    </message>
</context>
<context>
    <name>NoticeStrip</name>
    <message>
        <location filename="../../app/qt/views/notice_strip.py" line="40"/>
        <source>Close</source>
        <translation>Schließen</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/notice_strip.py" line="41"/>
        <source>Close this notice</source>
        <translation>Diese Meldung schließen</translation>
    </message>
</context>
<context>
    <name>NozzleMap</name>
    <message>
        <location filename="../../app/qt/views/nozzle_map.py" line="34"/>
        <source>Nozzle map</source>
        <translation>Düsenkarte</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nozzle_map.py" line="35"/>
        <source>Wheel: zoom. Drag: move. Arrow keys: read. Double click or Home: all.</source>
        <translation>Rad: zoomen. Ziehen: verschieben. Pfeiltasten: ablesen. Doppelklick oder Pos1: alles.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nozzle_map.py" line="39"/>
        <source>height, mm</source>
        <translation>Höhe, mm</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nozzle_map.py" line="39"/>
        <source>nozzle</source>
        <translation>Düse</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nozzle_map.py" line="48"/>
        <source>nozzles</source>
        <translation>Düsen</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nozzle_map.py" line="91"/>
        <source>prints</source>
        <translation>druckt</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nozzle_map.py" line="92"/>
        <source>prints past its open time</source>
        <translation>druckt nach Ablauf der Offenzeit</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nozzle_map.py" line="93"/>
        <source>rests</source>
        <translation>ruht</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nozzle_map.py" line="94"/>
        <source>rests past its open time</source>
        <translation>ruht über die Offenzeit hinaus</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nozzle_map.py" line="95"/>
        <source>not used</source>
        <translation>nicht gebraucht</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nozzle_map.py" line="122"/>
        <source>dead; would be: {0}</source>
        <translation>tot; wäre: {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nozzle_map.py" line="124"/>
        <source>Nozzle {0}</source>
        <translation>Düse {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nozzle_map.py" line="125"/>
        <source>layer {0} · {1} mm</source>
        <translation>Schicht {0} · {1} mm</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/nozzle_map.py" line="129"/>
        <source>idle for {0}</source>
        <translation>in Ruhe seit {0}</translation>
    </message>
</context>
<context>
    <name>PackingRules</name>
    <message>
        <location filename="../../app/qt/pages/packing_rules.py" line="78"/>
        <source>Region to keep out of</source>
        <translation>Freizuhaltender Bereich</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/packing_rules.py" line="79"/>
        <source>Gap to it</source>
        <translation>Abstand dazu</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/packing_rules.py" line="80"/>
        <source>from</source>
        <translation>von</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/packing_rules.py" line="81"/>
        <source>to</source>
        <translation>bis</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/packing_rules.py" line="82"/>
        <source>the job</source>
        <translation>der Auftrag</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/packing_rules.py" line="83"/>
        <source>Copies on whole pixels</source>
        <translation>Stücke auf ganzen Pixeln</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/packing_rules.py" line="84"/>
        <source>Wish: heavy cores low</source>
        <translation>Wunsch: schwere Kerne unten</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/packing_rules.py" line="85"/>
        <source>Wish: casting sets together</source>
        <translation>Wunsch: Gusssätze beisammen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/packing_rules.py" line="86"/>
        <source>Wish: even printed area</source>
        <translation>Wunsch: gleichmäßige Druckfläche</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/packing_rules.py" line="87"/>
        <source>yes</source>
        <translation>ja</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/packing_rules.py" line="88"/>
        <source>no</source>
        <translation>nein</translation>
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
    <name>PictureActions</name>
    <message>
        <location filename="../../app/qt/views/chart_export.py" line="32"/>
        <source>Save &amp;picture…</source>
        <translation>&amp;Bild speichern…</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/chart_export.py" line="35"/>
        <source>Save &amp;data…</source>
        <translation>&amp;Daten speichern…</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/chart_export.py" line="61"/>
        <source>Save picture</source>
        <translation>Bild speichern</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/chart_export.py" line="63"/>
        <source>Pictures (*.png);;Drawings (*.svg)</source>
        <translation>Bilder (*.png);;Zeichnungen (*.svg)</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/chart_export.py" line="73"/>
        <source>Save data</source>
        <translation>Daten speichern</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/chart_export.py" line="73"/>
        <source>Tables (*.csv)</source>
        <translation>Tabellen (*.csv)</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/chart_export.py" line="82"/>
        <source>Not saved</source>
        <translation>Nicht gespeichert</translation>
    </message>
</context>
<context>
    <name>Preview</name>
    <message>
        <location filename="../../app/qt/preview.py" line="53"/>
        <source>Sheets before printing</source>
        <translation>Blätter vor dem Drucken</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="67"/>
        <source>Sheet</source>
        <translation>Blatt</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="71"/>
        <source>Paper</source>
        <translation>Papier</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="74"/>
        <source>Page</source>
        <translation>Seite</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="81"/>
        <source>Progress of the preview</source>
        <translation>Fortschritt der Vorschau</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="84"/>
        <source>S&amp;maller</source>
        <translation>&amp;Kleiner</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="85"/>
        <source>&amp;Larger</source>
        <translation>&amp;Größer</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="86"/>
        <source>&amp;Print…</source>
        <translation>&amp;Drucken…</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="87"/>
        <source>&amp;Save as PDF…</source>
        <translation>Als &amp;PDF speichern…</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="88"/>
        <source>&amp;Close</source>
        <translation>S&amp;chließen</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="96"/>
        <source>S&amp;heet</source>
        <translation>&amp;Blatt</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="97"/>
        <source>Pape&amp;r</source>
        <translation>Papie&amp;r</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="98"/>
        <source>Pa&amp;ge</source>
        <translation>S&amp;eite</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="152"/>
        <source>Save the sheet</source>
        <translation>Blatt speichern</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="152"/>
        <source>PDF (*.pdf)</source>
        <translation>PDF (*.pdf)</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="163"/>
        <source>Saved: {0}</source>
        <translation>Gespeichert: {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="201"/>
        <source> of {0}</source>
        <translation> von {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="214"/>
        <source>The printer takes no pages: check it, or save the sheet as PDF.</source>
        <translation>Der Drucker nimmt keine Seiten an: Drucker prüfen oder das Blatt als PDF speichern.</translation>
    </message>
    <message>
        <location filename="../../app/qt/preview.py" line="218"/>
        <source>{0} pages were sent to the printer.</source>
        <translation>{0} Seiten gingen an den Drucker.</translation>
    </message>
</context>
<context>
    <name>PriceChart</name>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="50"/>
        <source>Price against quantity</source>
        <translation>Preis über der Menge</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="50"/>
        <source>price</source>
        <translation>Preis</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="52"/>
        <source>price of a set</source>
        <translation>Preis eines Satzes</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="52"/>
        <source>casting sets</source>
        <translation>Gusssätze</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="65"/>
        <source>price of a set, {0}</source>
        <translation>Preis eines Satzes, {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="68"/>
        <location filename="../../app/qt/views/quote_view.py" line="126"/>
        <source>printed</source>
        <translation>gedruckt</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="86"/>
        <source>offered</source>
        <translation>angeboten</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="103"/>
        <location filename="../../app/qt/views/quote_view.py" line="125"/>
        <source>{0} sets</source>
        <translation>{0} Sätze</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="110"/>
        <source>core box</source>
        <translation>Kernkasten</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="135"/>
        <source>offered for {0}: {1}</source>
        <translation>angeboten für {0}: {1}</translation>
    </message>
</context>
<context>
    <name>ProcessPage</name>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="34"/>
        <location filename="../../app/qt/pages/process_page.py" line="35"/>
        <source>Find a value</source>
        <translation>Wert suchen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="40"/>
        <source>Profile values</source>
        <translation>Profilwerte</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="41"/>
        <source>Value</source>
        <translation>Wert</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="41"/>
        <source>Evidence</source>
        <translation>Beleg</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="41"/>
        <source>Profile value</source>
        <translation>Profilwert</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="127"/>
        <source>source: {0}</source>
        <translation>Quelle: {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="132"/>
        <source>the profile has {0}; Delete takes it</source>
        <translation>im Profil steht {0}; Entf übernimmt es</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="108"/>
        <source>changed</source>
        <translation>geändert</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="124"/>
        <source>allowed: {0} {1}</source>
        <translation>erlaubt: {0} {1}</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="136"/>
        <source>the profile&apos;s source: {0} ({1})</source>
        <translation>Quelle des Profils: {0} ({1})</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="166"/>
        <source>{0} values</source>
        <translation>{0} Werte</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="167"/>
        <source>1 row</source>
        <translation>1 Zeile</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="167"/>
        <source>{0} rows</source>
        <translation>{0} Zeilen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="186"/>
        <source>Process</source>
        <translation>Prozess</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="187"/>
        <source>Machine</source>
        <translation>Maschine</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="188"/>
        <source>Print head</source>
        <translation>Druckkopf</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="189"/>
        <source>Sand</source>
        <translation>Sand</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="190"/>
        <source>Additive</source>
        <translation>Zusatz</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="191"/>
        <source>Binder</source>
        <translation>Binder</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="192"/>
        <source>Oven</source>
        <translation>Ofen</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="193"/>
        <source>Rates</source>
        <translation>Sätze</translation>
    </message>
    <message>
        <location filename="../../app/qt/pages/process_page.py" line="194"/>
        <source>Shop</source>
        <translation>Betrieb</translation>
    </message>
</context>
<context>
    <name>QuoteView</name>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="177"/>
        <source>Quantities of casting sets</source>
        <translation>Mengen von Gusssätzen</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="178"/>
        <source>Numbers of casting sets with commas between; Enter reckons.</source>
        <translation>Anzahlen von Gusssätzen, durch Kommas getrennt; Eingabetaste rechnet.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="179"/>
        <source>Reckon prices</source>
        <translation>Preise rechnen</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="180"/>
        <source>Stop</source>
        <translation>Stopp</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="181"/>
        <source>Stop reckoning prices</source>
        <translation>Preisrechnung anhalten</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="185"/>
        <source>Progress of the prices</source>
        <translation>Fortschritt der Preise</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="204"/>
        <source>Prices by quantity</source>
        <translation>Preise nach Menge</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="209"/>
        <source>Sets</source>
        <translation>Sätze</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="210"/>
        <source>Boxes</source>
        <translation>Kästen</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="211"/>
        <source>Price of a set</source>
        <translation>Preis eines Satzes</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="212"/>
        <source>Total price</source>
        <translation>Gesamtpreis</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="213"/>
        <source>Range of the total</source>
        <translation>Spanne des Gesamtpreises</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="214"/>
        <source>Lead time</source>
        <translation>Lieferzeit</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="225"/>
        <source>Casting sets</source>
        <translation>Gusssätze</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="269"/>
        <source>about {0}</source>
        <translation>etwa {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="280"/>
        <source>Each quantity is packed and reckoned by itself.</source>
        <translation>Jede Menge wird für sich gepackt und gerechnet.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="292"/>
        <source>{0} days</source>
        <translation>{0} Tage</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="297"/>
        <source>build time {0}</source>
        <translation>Bauzeit {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/quote_view.py" line="302"/>
        <source>The job states no core box to compare with.</source>
        <translation>Der Auftrag nennt keinen Kernkasten zum Vergleich.</translation>
    </message>
</context>
<context>
    <name>SheetsBench</name>
    <message>
        <location filename="../../app/qt/sheets_bench.py" line="29"/>
        <source>Pr&amp;int sheets…</source>
        <translation>Blätter &amp;drucken…</translation>
    </message>
    <message>
        <location filename="../../app/qt/sheets_bench.py" line="32"/>
        <source>&amp;Write sheets…</source>
        <translation>Blätter s&amp;chreiben…</translation>
    </message>
    <message>
        <location filename="../../app/qt/sheets_bench.py" line="58"/>
        <source>Folder for the sheets</source>
        <translation>Ordner für die Blätter</translation>
    </message>
    <message>
        <location filename="../../app/qt/sheets_bench.py" line="69"/>
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
        <location filename="../../app/qt/step_words.py" line="15"/>
        <source>Packing</source>
        <translation>Packen</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="16"/>
        <source>Shape of the core</source>
        <translation>Form des Kerns</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="17"/>
        <source>Settling the packing</source>
        <translation>Packung setzen</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="18"/>
        <source>Layers</source>
        <translation>Schichten</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="19"/>
        <source>Quantities, time and cost</source>
        <translation>Mengen, Zeit und Kosten</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="20"/>
        <source>Plan sheet</source>
        <translation>Planblatt</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="21"/>
        <source>Summary</source>
        <translation>Zusammenfassung</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="22"/>
        <source>Process sheet</source>
        <translation>Verfahrensblatt</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="23"/>
        <source>Pages</source>
        <translation>Seiten</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="24"/>
        <source>Labels</source>
        <translation>Etiketten</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="25"/>
        <source>Box cards</source>
        <translation>Kastenkarten</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="26"/>
        <source>Workbook</source>
        <translation>Arbeitsmappe</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="27"/>
        <source>Tables</source>
        <translation>Tabellen</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="28"/>
        <source>Models of the boxes</source>
        <translation>Modelle der Kästen</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="29"/>
        <source>Models of the cores</source>
        <translation>Modelle der Kerne</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="30"/>
        <source>Cores layer on layer</source>
        <translation>Kerne Schicht auf Schicht</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="31"/>
        <source>Layer drawings</source>
        <translation>Schichtzeichnungen</translation>
    </message>
    <message>
        <location filename="../../app/qt/step_words.py" line="32"/>
        <source>Done</source>
        <translation>Fertig</translation>
    </message>
</context>
<context>
    <name>StepsDialog</name>
    <message>
        <location filename="../../app/qt/steps_dialog.py" line="15"/>
        <source>Steps since the job was opened</source>
        <translation>Schritte seit dem Öffnen des Auftrags</translation>
    </message>
    <message>
        <location filename="../../app/qt/steps_dialog.py" line="18"/>
        <source>as opened</source>
        <translation>wie geöffnet</translation>
    </message>
    <message>
        <location filename="../../app/qt/steps_dialog.py" line="19"/>
        <source>Steps</source>
        <translation>Schritte</translation>
    </message>
    <message>
        <location filename="../../app/qt/steps_dialog.py" line="20"/>
        <source>Choose a step to go back to it, or forward again:</source>
        <translation>Einen Schritt wählen, um zu ihm zurück- oder wieder vorzugehen:</translation>
    </message>
</context>
<context>
    <name>StopsBench</name>
    <message>
        <location filename="../../app/qt/stops_bench.py" line="88"/>
        <source>&amp;Lift the stop…</source>
        <translation>&amp;Halt aufheben…</translation>
    </message>
    <message>
        <location filename="../../app/qt/stops_bench.py" line="91"/>
        <source>&amp;Put the stop in force again</source>
        <translation>Halt wieder in &amp;Kraft setzen</translation>
    </message>
    <message>
        <location filename="../../app/qt/stops_bench.py" line="114"/>
        <source>stop in force again</source>
        <translation>Halt wieder in Kraft</translation>
    </message>
    <message>
        <location filename="../../app/qt/stops_bench.py" line="121"/>
        <source>stop lifted by {0}</source>
        <translation>Halt aufgehoben von {0}</translation>
    </message>
</context>
<context>
    <name>SummaryView</name>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="41"/>
        <source>Figure</source>
        <translation>Größe</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="41"/>
        <source>Value</source>
        <translation>Wert</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="42"/>
        <source>Time and cost</source>
        <translation>Zeit und Kosten</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="55"/>
        <source>The job</source>
        <translation>Der Auftrag</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="58"/>
        <source>Cost by kind</source>
        <translation>Kosten nach Art</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="59"/>
        <source>Time, all boxes</source>
        <translation>Zeit, alle Kästen</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="60"/>
        <source>Sand, binder and additive</source>
        <translation>Sand, Binder und Zusatz</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="61"/>
        <source>Energy</source>
        <translation>Energie</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="85"/>
        <source>Cost without margin</source>
        <translation>Kosten ohne Marge</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="88"/>
        <source>Price</source>
        <translation>Preis</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="97"/>
        <source>Box {0}</source>
        <translation>Kasten {0}</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="131"/>
        <source>What the range of the cost comes from</source>
        <translation>Woher die Spanne der Kosten kommt</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="135"/>
        <source>±{0} · {1} %</source>
        <translation>±{0} · {1} %</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="142"/>
        <source>Cost of one core</source>
        <translation>Kosten eines Kerns</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/summary_view.py" line="147"/>
        <source>Cost of one casting set</source>
        <translation>Kosten eines Gusssatzes</translation>
    </message>
</context>
<context>
    <name>TableDialog</name>
    <message>
        <location filename="../../app/qt/table_dialog.py" line="56"/>
        <source>&amp;Add a row</source>
        <translation>Zeile &amp;anfügen</translation>
    </message>
    <message>
        <location filename="../../app/qt/table_dialog.py" line="57"/>
        <source>&amp;Remove the row</source>
        <translation>Zeile &amp;entfernen</translation>
    </message>
    <message>
        <location filename="../../app/qt/table_dialog.py" line="58"/>
        <source>&amp;Paste rows of a spreadsheet</source>
        <translation>Zeilen aus einer Tabellenkalkulation &amp;einfügen</translation>
    </message>
    <message>
        <location filename="../../app/qt/table_dialog.py" line="122"/>
        <source>This row can&apos;t be read: {0}. {1} values are wanted, with tabs between.</source>
        <translation>Diese Zeile lässt sich nicht lesen: {0}. Erwartet werden {1} Werte mit Tabulatoren dazwischen.</translation>
    </message>
    <message>
        <location filename="../../app/qt/table_dialog.py" line="199"/>
        <source>Fill in every value of the table, or remove its row.</source>
        <translation>Jeden Wert der Tabelle ausfüllen oder die Zeile entfernen.</translation>
    </message>
    <message>
        <location filename="../../app/qt/table_dialog.py" line="205"/>
        <source>{0}, row {1}</source>
        <translation>{0}, Zeile {1}</translation>
    </message>
</context>
<context>
    <name>UnpackingPlayer</name>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="47"/>
        <source>Step back</source>
        <translation>Schritt zurück</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="49"/>
        <location filename="../../app/qt/views/unpacking_player.py" line="166"/>
        <source>Play</source>
        <translation>Abspielen</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="50"/>
        <source>Step on</source>
        <translation>Schritt weiter</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="52"/>
        <source>Moment of the unpacking</source>
        <translation>Zeitpunkt des Auspackens</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="57"/>
        <source>Cautions before unpacking</source>
        <translation>Warnhinweise vor dem Auspacken</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="166"/>
        <source>Pause</source>
        <translation>Pause</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="179"/>
        <source>There is no unpacking to play: plan the job first.</source>
        <translation>Es gibt kein Auspacken abzuspielen: zuerst den Auftrag planen.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="183"/>
        <source>These can&apos;t be drawn: {0}.</source>
        <translation>Diese lassen sich nicht ziehen: {0}.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="190"/>
        <source>Before unpacking: sand up to {0}, {1} stages.</source>
        <translation>Vor dem Auspacken: Sand bis {0}, {1} Stufen.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="194"/>
        <source>Stage {0} of {1}:</source>
        <translation>Stufe {0} von {1}:</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="196"/>
        <source>take the sand down to {0}.</source>
        <translation>Sand bis auf {0} abtragen.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="199"/>
        <source>sand at {0}; draw {1} level out of the box.</source>
        <translation>Sand bei {0}; {1} waagerecht aus dem Kasten ziehen.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="202"/>
        <source>sand at {0}; slide {1} {2} aside, then draw it up.</source>
        <translation>Sand bei {0}; {1} erst {2} zur Seite schieben, dann nach oben ziehen.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="204"/>
        <source>sand at {0}; draw {1} straight up.</source>
        <translation>Sand bei {0}; {1} gerade nach oben ziehen.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="206"/>
        <source>sand at {0}; draw {1} at a tilt of {2}°.</source>
        <translation>Sand bei {0}; {1} um {2}° geneigt ziehen.</translation>
    </message>
    <message>
        <location filename="../../app/qt/views/unpacking_player.py" line="209"/>
        <source>It is held by hand until then.</source>
        <translation>Er wird bis dahin von Hand gehalten.</translation>
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
        <location filename="../../app/qt/work_strip.py" line="31"/>
        <source>Progress of the plan</source>
        <translation>Fortschritt des Plans</translation>
    </message>
    <message>
        <location filename="../../app/qt/work_strip.py" line="68"/>
        <source>{0} of the search time left</source>
        <translation>noch {0} der Suchzeit</translation>
    </message>
    <message>
        <location filename="../../app/qt/work_strip.py" line="69"/>
        <source>search time is over</source>
        <translation>Suchzeit ist um</translation>
    </message>
    <message>
        <location filename="../../app/qt/work_strip.py" line="73"/>
        <source>about {0} left</source>
        <translation>noch etwa {0}</translation>
    </message>
</context>
</TS>
